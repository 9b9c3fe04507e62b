"""Judge cultivars at a site: from the fit of the site to the ranked answer, best first."""

import math
from collections.abc import Sequence
from typing import get_args

import msgspec
import numpy as np

from domain.common.season_days import SEASON_DAYS, calendar
from domain.fruit.diseases import DISEASES
from domain.fruit.resistance import Resistance
from domain.hazards.infection_weather import Class, pressure_class
from domain.orchard_site.conditions import SiteConditions
from domain.suitability import sentences
from domain.suitability import suitability_answer as answer
from domain.suitability.classes import CLASSES, quality_grades, sound_grades
from domain.suitability.factors import FactorCode, Rows, Verdict
from domain.suitability.order import in_order, of_one_tree, one_of_each, rows_in_order, told_rank
from domain.suitability.ranking import rank_values
from domain.suitability.site_fit import Range, SiteFit, site_fit
from domain.suitability.suitability_request import Weights
from domain.suitability.to_mind import of_each
from domain.suitability.told_factors import told_factor, told_of
from domain.suitability.verdicts import bears_as_grown_alike, limiting_factors, verdicts
from domain.suitability.without_winter import rank_when_stripped, stripped_tree, verdict_without_winter
from domain.tables import cautions
from domain.tables.cultivars import Cultivar
from domain.tables.words import Sentence, say
from domain.traits.trait_table import TraitTable


def assess(
    conditions: SiteConditions,
    traits: TraitTable,
    weights: Weights | None = None,
    evidence: bool = False,
    *,
    no_spray: bool = False,
    factors: bool = True,
    most: int | None = None,
    of_each_tree: bool = False,
) -> tuple[answer.Suitability, ...]:
    """Every cultivar of the table at the site, best first (`order.in_order`).

    no_spray: whether what disease does to unsprayed fruit counts in the verdict. factors: whether they are told, which
    is more than half of the work where the fit is known. most: so many of the best; no others are put into words then.
    of_each_tree: whether one stands for all sports of its tree with its verdict, which it names. Asked again of the
    same site, table and weights, it is remembered with the site.
    """
    weighed = weights or Weights()
    alike = (traits, no_spray, factors)

    def ranked() -> tuple[answer.Suitability, ...]:
        fit = site_fit(conditions, traits)
        ranks = rank_values(fit, weighed).tolist()
        rounded = [round(rank, 4) for rank in ranks]
        count = len(fit.cultivars)
        # Where there is no winter, stripping leaves moves verdicts, by which they are ranked first.
        if most is None or most >= count or conditions.years.without_winter:
            rows = np.arange(count)
            told = conditions.kept.get("told", alike, lambda: _told(conditions, *alike, rows, ranks=rounded))
            judged = in_order(_ranked(told, fit, rows.tolist(), ranks, rounded, evidence=evidence))
            return (best_of_each_tree(judged, traits) if of_each_tree else judged)[:most]
        verdict, _ = _judged(conditions, traits, no_spray)
        best = rows_in_order(fit, verdict, rounded)
        stands_for: dict[int, list[int]] = {}
        if of_each_tree:
            trees = of_one_tree(traits)
            stands_for = one_of_each(best, [(verdict[row], trees[fit.cultivars[row].id]) for row in best])
            best = list(stands_for)
        best = best[:most]
        told = _told(conditions, *alike, np.array(best, dtype=np.intp), ranks=rounded)
        judged = _ranked(told, fit, best, ranks, rounded, evidence=evidence)
        return tuple(
            [
                _standing_for(one, [(fit.cultivars[other].name, fit.cultivars[other].id) for other in stands_for[row]])
                if stands_for.get(row)
                else one
                for one, row in zip(judged, best, strict=True)
            ]
        )

    return conditions.kept.get("suitabilities", (*alike, weighed, evidence, most, of_each_tree), ranked)


def best_of_each_tree(judged: Sequence[answer.Suitability], traits: TraitTable) -> tuple[answer.Suitability, ...]:
    """Of judgements in their order the first of each verdict and tree, naming the others that it stands for."""
    by_id, trees = {one.id: one for one in judged}, of_one_tree(traits)
    stands_for = one_of_each(list(by_id), [(one.verdict, trees[one.id]) for one in judged])
    return tuple(
        [
            _standing_for(by_id[one], [(by_id[other].cultivar, other) for other in others]) if others else by_id[one]
            for one, others in stands_for.items()
        ]
    )


def _standing_for(one: answer.Suitability, others: Sequence[tuple[str, str]]) -> answer.Suitability:
    """others: name and id of each."""
    beside = tuple([answer.OfOneTree(cultivar=name, id=cultivar_id) for name, cultivar_id in others])
    return msgspec.structs.replace(one, sports_beside=beside)


def least_spoilt(judged: tuple[answer.Suitability, ...]) -> tuple[Sentence, ...]:
    """That no cultivar stays clean unsprayed, and which are least spoilt; nothing where some keep enough fruit."""
    known = [(_share(one, "sound_fruit"), one.cultivar) for one in judged if one.verdict in ("plant", "worth_trying")]
    best = sorted(known, key=lambda one: -one[0])[: CLASSES.least_spoilt_named]
    if not best or best[0][0] >= CLASSES.fair_sound:
        return ()
    return (say("none_clean_unsprayed", share=best[0][0], cultivars=tuple(name for _, name in best)),)


def _share(one: answer.Suitability, code: FactorCode) -> float:
    return next(factor.share.likely for factor in one.factors if factor.factor == code)


def _ranked(
    told: tuple[answer.Suitability, ...],
    fit: SiteFit,
    rows: Sequence[int],
    ranks: Sequence[float],
    rounded: Sequence[float],
    *,
    evidence: bool,
) -> tuple[answer.Suitability, ...]:
    """Judgements of some rows with their ranks, in the order of the rows. ranks, rounded: of every row, where leaves
    are not stripped.
    """
    judged = []
    for row, one in zip(rows, told, strict=True):
        usual = (
            rounded[row] if one.stripped is None else round(rank_when_stripped(one.stripped.standing, ranks[row]), 4)
        )
        changed: dict[str, object] = {}
        if (rank := told_rank(one.verdict, usual)) != one.rank_value:
            changed["rank_value"] = rank
        if evidence:
            changed["traits"] = answer.trait_evidence(fit.cultivars[row])
        judged.append(msgspec.structs.replace(one, **changed) if changed else one)
    return tuple(judged)


def _judged(conditions: SiteConditions, traits: TraitTable, no_spray: bool) -> tuple[list[Verdict], list[FactorCode]]:
    """Verdict and limiting factor of every cultivar; kept with the site."""
    fit = site_fit(conditions, traits)
    return conditions.kept.get(
        "judged",
        (traits, no_spray),
        lambda: (verdicts(fit, no_spray=no_spray), limiting_factors(fit, no_spray=no_spray)),
    )


def _told(
    conditions: SiteConditions, traits: TraitTable, no_spray: bool, factors: bool, rows: Rows, *, ranks: Sequence[float]
) -> tuple[answer.Suitability, ...]:
    """The judgements of some rows, or of all in their order; of them the ranks alone depend on the weights."""
    fit = site_fit(conditions, traits)
    verdict, limiting = _judged(conditions, traits, no_spray)
    told = _Rows(conditions, traits, fit, factors, rows)
    judged = tuple(
        [told.row(place, row, verdict[row], limiting[row], ranks[row]) for place, row in enumerate(rows.tolist())]
    )
    if conditions.years.without_winter:
        return tuple(
            [
                _without_winter(one, fit.cultivars[row], conditions)
                for one, row in zip(judged, rows.tolist(), strict=True)
            ]
        )
    return judged


def _without_winter(one: answer.Suitability, cultivar: Cultivar, conditions: SiteConditions) -> answer.Suitability:
    """A judgement where there is no winter: by the practice of stripping leaves, without a year that has a winter."""
    days = conditions.years.leaf_stripping
    verdict, said = verdict_without_winter(cultivar, conditions.years)
    by_stripping = bool(days) and verdict != "not_here"
    return msgspec.structs.replace(
        one,
        verdict=verdict,
        code=said.code,
        values=said.values,
        words=said.words,
        cropping_years_in_ten=None if by_stripping else one.cropping_years_in_ten,
        limiting=None if by_stripping else "winter_chill",
        bloom=None,
        harvest=None,
        stripped=stripped_tree(cultivar, () if verdict == "not_here" else days),
        cautions=(*one.cautions, cautions.NO_REST_BREAKING),
    )


class _Rows:
    """The numbers of some rows of a fit as plain lists, so that a row is made without touching arrays."""

    def __init__(self, conditions: SiteConditions, traits: TraitTable, fit: SiteFit, factors: bool, rows: Rows) -> None:
        self.unplaced = traits.kept.get("unplaced", None, lambda: _unplaced(traits))
        self.to_mind = of_each(conditions, traits)
        self.diseases = _diseases_here(conditions, traits)
        every = rows.size == len(fit.cultivars)
        # Factor by factor, not row by row: what one factor is made from then stays in the processor's cache.
        told = [told_factor(one) if every else told_of(one, rows) for one in fit.factors] if factors else []
        self.factors = list(zip(*told, strict=True)) if factors else [()] * rows.size
        crop, survives, sound, quality = (
            fit.outcomes[outcome].of(rows) for outcome in ("crop", "tree_survival", "sound_fruit", "quality")
        )
        self.years = _whole_years(crop)
        self.as_grown_alike = bears_as_grown_alike(fit)[rows].tolist()
        self.known_here = fit.known_here[rows].tolist()
        self.survives = np.round(survives.likely.astype(np.float64), 2).tolist()
        self.sound = sound_grades(sound.likely, sound.low, sound.high)
        self.quality = quality_grades(quality.likely, quality.low, quality.high)
        self.years_in_ten: dict[tuple[int, int, int], answer.YearsInTen] = {}
        self.bloom, self.harvest = (
            conditions.kept_alike.get("days_told", traits, lambda: _days_told(fit, rows))
            if every and conditions.observed is None
            else _days_told(fit, rows)
        )

    def row(self, place: int, row: int, verdict: Verdict, limiting: FactorCode, rank: float) -> answer.Suitability:
        """What is told of a row of the table, at its place among those asked for."""
        known = verdict != "not_known"
        cultivar, as_grown_alike = self.unplaced[row].cultivar, self.as_grown_alike[place]
        said = sentences.verdict_of(verdict, cultivar, self.years[place], limiting, as_grown_alike)
        return msgspec.structs.replace(
            self.unplaced[row],
            verdict=verdict,
            code=said.code,
            values=said.values,
            words=said.words,
            known_here=self.known_here[place],
            rank_value=told_rank(verdict, rank),
            cropping_years_in_ten=self._years(place) if known else None,
            survives_ten_years=self.survives[place] if known else None,
            sound_fruit_unsprayed=self.sound[place],
            quality_here=self.quality[place],
            factors=self.factors[place],
            limiting=limiting if known else None,
            bloom=self.bloom[place],
            harvest=self.harvest[place],
            diseases=self.diseases[row],
            to_mind=self.to_mind[row],
        )

    def _years(self, place: int) -> answer.YearsInTen:
        years = self.years[place]
        if (found := self.years_in_ten.get(years)) is None:
            found = self.years_in_ten[years] = answer.YearsInTen(likely=years[0], low=years[1], high=years[2])
        return found


def _unplaced(traits: TraitTable) -> list[answer.Suitability]:
    """What is told of each cultivar wherever it is planted, as the row that a site fills in."""
    return [
        answer.Suitability(
            cultivar=cultivar.name,
            id=cultivar.id,
            aliases=fixed.aliases,
            sold_as=fixed.sold_as,
            uses=fixed.uses,
            fruit=fixed.fruit,
            verdict="not_known",
            code="",
            values={},
            words="",
            rank_value=None,
            known_here=False,
            cropping_years_in_ten=None,
            survives_ten_years=None,
            years_to_first_crop=fixed.years_to_first_crop,
            sound_fruit_unsprayed="unknown",
            quality_here="unknown",
            factors=(),
            limiting=None,
            bloom=None,
            harvest=None,
            storage_weeks=fixed.fruit.keeps_weeks,
            diseases=(),
            tree=fixed.tree,
            to_mind=(),
            cautions=fixed.cautions,
        )
        for cultivar, fixed in zip(traits.cultivars, traits.fixed, strict=True)
    ]


def _days_told(fit: SiteFit, rows: Rows) -> tuple[list[answer.BloomWindow | None], list[answer.HarvestWindow | None]]:
    """Bloom and harvest of some rows as they are told."""
    dates = calendar(fit.south)
    blooms, harvests = (
        zip(*(days[rows].tolist() for days in all_days), strict=True)
        for all_days in (
            (*fit.bloom.middle, fit.bloom_spread_days),
            (fit.harvest_first, fit.harvest_last, fit.harvest_spread_days),
        )
    )
    return [_bloom(dates, *days) for days in blooms], [_harvest(dates, *days) for days in harvests]


def _bloom(
    dates: Sequence[str], first: float, full: float, end: float, uncertainty_days: float
) -> answer.BloomWindow | None:
    if full >= SEASON_DAYS:  # no bloom in at least half of the seasons
        return None
    return answer.BloomWindow(
        first=dates[round(first)],
        full=dates[round(full)],
        petal_fall=dates[min(round(end), SEASON_DAYS)],
        uncertainty_days=math.ceil(uncertainty_days),
    )


def _harvest(dates: Sequence[str], first: float, last: float, uncertainty_days: float) -> answer.HarvestWindow | None:
    if math.isnan(first) or first >= SEASON_DAYS:
        return None
    return answer.HarvestWindow(
        first=dates[round(first)],
        last=dates[min(round(last), len(dates) - 1)],
        uncertainty_days=math.ceil(uncertainty_days),
    )


def _whole_years(crop: Range) -> list[tuple[int, int, int]]:
    """Likely, low and high crops of ten years of each cultivar, as `years_of_ten` tells them."""
    ends = (crop.likely, crop.low, crop.high)
    years = [np.clip(np.floor(10.0 * end.astype(np.float64) + 0.5), 0.0, 10.0).astype(np.intp).tolist() for end in ends]
    return list(zip(*years, strict=True))


def _diseases_here(conditions: SiteConditions, traits: TraitTable) -> list[tuple[answer.DiseaseStanding, ...]]:
    """How each cultivar stands to the diseases of a place; kept with the table: places differ by classes alone."""
    classes = tuple(pressure_class(conditions.pressure[disease]) for disease in DISEASES)

    def here() -> list[tuple[answer.DiseaseStanding, ...]]:
        standings = _standings(classes)
        return [
            tuple([told[one] for told, one in zip(standings, fixed.resistances, strict=True) if one in told])
            for fixed in traits.fixed
        ]

    return traits.kept.get("diseases_where", classes, here)


def _standings(classes: tuple[Class, ...]) -> tuple[dict[str, answer.DiseaseStanding], ...]:
    """For each disease what is said of a cultivar of each resistance; unknown ones only where the disease presses."""
    resistances = get_args(Resistance)
    standings = []
    for disease, pressure in zip(DISEASES, classes, strict=True):
        told = [resistance for resistance in resistances if resistance != "unknown" or pressure != "low"]
        standings.append({t: answer.DiseaseStanding(disease=disease, resistance=t, pressure=pressure) for t in told})
    return tuple(standings)
