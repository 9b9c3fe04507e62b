"""Judge cultivars at a site: from the fit of the site to the ranked answer, best first."""

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import get_args

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import rounded
from domain.common.season_days import SEASON_DAYS, calendar
from domain.fruit.diseases import DISEASES
from domain.fruit.resistance import Resistance
from domain.hazards.infection_weather import Class, pressure_class
from domain.orchard_site.conditions import SiteConditions
from domain.suitability import sentences
from domain.suitability import suitability_answer as answer
from domain.suitability.classes import CLASSES, quality_grades, sound_grades
from domain.suitability.factors import FACTOR_BASES, Factor, FactorCode, Input, Verdict
from domain.suitability.ranking import rank_values
from domain.suitability.site_fit import Range, SiteFit, site_fit
from domain.suitability.suitability_request import Weights
from domain.suitability.to_mind import of_each
from domain.suitability.verdicts import BEST_FIRST, bears_as_grown_alike, limiting_factors, verdicts
from domain.suitability.without_winter import rank_when_stripped, stripped_tree, verdict_without_winter
from domain.tables import cautions
from domain.tables.cultivars import Cultivar
from domain.tables.words import Sentence, say
from domain.traits.trait_table import TraitTable

REMEMBERED_INPUTS = 32
"""Factors whose inputs are kept as they are told."""


def assess(
    conditions: SiteConditions,
    traits: TraitTable,
    weights: Weights | None = None,
    evidence: bool = False,
    *,
    no_spray: bool = False,
    factors: bool = True,
) -> tuple[answer.Suitability, ...]:
    """Every cultivar of the table at the site, by verdict and within a verdict by `rank_value`, best first.

    no_spray: whether what disease does to unsprayed fruit counts in the verdict. factors: whether they are told, which
    is more than half of the work where the fit is known.
    Asked again of the same site, table and weights, it is remembered with the site.
    """
    weighed = weights or Weights()
    alike = (traits, no_spray, factors)

    def ranked() -> tuple[answer.Suitability, ...]:
        unranked = conditions.kept.get("unranked", alike, lambda: _unranked(conditions, *alike))
        return _ranked(unranked, site_fit(conditions, traits), weighed, evidence)

    return conditions.kept.get("suitabilities", (*alike, weighed, evidence), ranked)


def least_spoilt(judged: tuple[answer.Suitability, ...]) -> tuple[Sentence, ...]:
    """That no cultivar stays clean unsprayed, and which are least spoilt; nothing where some keep enough fruit."""
    known = [(_share(one, "sound_fruit"), one.cultivar) for one in judged if one.verdict in ("plant", "worth_trying")]
    best = sorted(known, key=lambda one: -one[0])[: CLASSES.least_spoilt_named]
    if not best or best[0][0] >= CLASSES.fair_sound:
        return ()
    return (say("none_clean_unsprayed", share=best[0][0], cultivars=tuple(name for _, name in best)),)


def _share(one: answer.Suitability, code: FactorCode) -> float:
    return next(factor.share.likely for factor in one.factors if factor.factor == code)


def in_order(judged: list[answer.Suitability]) -> tuple[answer.Suitability, ...]:
    """Judgements by verdict and within a verdict by `rank_value`, best first; ties by id."""
    return tuple(sorted(judged, key=lambda s: (BEST_FIRST.index(s.verdict), -(s.rank_value or 0.0), s.id)))


def _ranked(
    unranked: tuple[answer.Suitability, ...], fit: SiteFit, weights: Weights, evidence: bool
) -> tuple[answer.Suitability, ...]:
    ranks = rank_values(fit, weights).tolist()
    judged = []
    for row, one in enumerate(unranked):
        usual = ranks[row] if one.stripped is None else rank_when_stripped(one.stripped.standing, ranks[row])
        rank = None if one.verdict == "not_known" else round(usual, 4)
        told = answer.trait_evidence(fit.cultivars[row]) if evidence else None
        judged.append(msgspec.structs.replace(one, rank_value=rank, traits=told))
    return in_order(judged)


def _unranked(
    conditions: SiteConditions, traits: TraitTable, no_spray: bool, factors: bool
) -> tuple[answer.Suitability, ...]:
    """Every judgement without its rank, which alone depends on the weights."""
    fit = site_fit(conditions, traits)
    verdict, limiting = verdicts(fit, no_spray=no_spray), limiting_factors(fit, no_spray=no_spray)
    rows = _Rows(conditions, traits, fit, factors)
    judged = tuple(rows.row(i, verdict[i], limiting[i]) for i in range(len(fit.cultivars)))
    if conditions.years.without_winter:
        return tuple(_without_winter(one, c, conditions) for one, c in zip(judged, fit.cultivars, strict=True))
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
    """The numbers of a fit as plain lists, so that a row is made without touching arrays."""

    def __init__(self, conditions: SiteConditions, traits: TraitTable, fit: SiteFit, factors: bool) -> None:
        self.fit = fit
        self.unplaced = traits.kept.get("unplaced", None, lambda: _unplaced(traits))
        self.to_mind = of_each(conditions, traits)
        self.diseases = _diseases_here(conditions, traits)
        # Factor by factor, not row by row: what one factor is made from then stays in the processor's cache.
        told = [_told_factor(factor) for factor in fit.factors] if factors else []
        self.factors = list(zip(*told, strict=True)) if factors else [()] * len(fit.cultivars)
        self.years = _whole_years(fit.outcomes["crop"])
        self.as_grown_alike = bears_as_grown_alike(fit).tolist()
        self.survives = np.round(fit.outcomes["tree_survival"].likely.astype(np.float64), 2).tolist()
        sound, quality = fit.outcomes["sound_fruit"], fit.outcomes["quality"]
        self.sound = sound_grades(sound.likely, sound.low, sound.high)
        self.quality = quality_grades(quality.likely, quality.low, quality.high)
        self.years_in_ten: dict[tuple[int, int, int], answer.YearsInTen] = {}
        self.bloom, self.harvest = (
            conditions.kept_alike.get("days_told", traits, lambda: _days_told(fit))
            if conditions.observed is None
            else _days_told(fit)
        )

    def row(self, i: int, verdict: Verdict, limiting: FactorCode) -> answer.Suitability:
        known = verdict != "not_known"
        cultivar, as_grown_alike = self.unplaced[i].cultivar, self.as_grown_alike[i]
        said = sentences.verdict_of(verdict, cultivar, self.years[i], limiting, as_grown_alike)
        return msgspec.structs.replace(
            self.unplaced[i],
            verdict=verdict,
            code=said.code,
            values=said.values,
            words=said.words,
            cropping_years_in_ten=self._years(i) if known else None,
            survives_ten_years=self.survives[i] if known else None,
            sound_fruit_unsprayed=self.sound[i],
            quality_here=self.quality[i],
            factors=self.factors[i],
            limiting=limiting if known else None,
            bloom=self.bloom[i],
            harvest=self.harvest[i],
            diseases=self.diseases[i],
            to_mind=self.to_mind[i],
        )

    def _years(self, i: int) -> answer.YearsInTen:
        years = self.years[i]
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


def _days_told(fit: SiteFit) -> tuple[list[answer.BloomWindow | None], list[answer.HarvestWindow | None]]:
    """Bloom and harvest of each cultivar as they are told."""
    dates = calendar(fit.south)
    blooms = zip(*(days.tolist() for days in fit.bloom.middle), fit.bloom_spread_days.tolist(), strict=True)
    harvests = zip(fit.harvest_first.tolist(), fit.harvest_last.tolist(), fit.harvest_spread_days.tolist(), strict=True)
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


def _told_factor(factor: Factor) -> list[answer.Factor]:
    """What an answer tells of a factor and each cultivar; kept with the factor."""
    return factor.kept.get("told", None, lambda: _told_rows(factor))


def _told_rows(factor: Factor) -> list[answer.Factor]:
    """What is told of each cultivar: one record for all of whom the same is told, and one share, input and sentence.

    There are thousands of each in an answer; what is made once is also found near by when the answer is encoded.
    """
    shares, marks = _shares(factor)
    of_crop = factor.outcome == "crop"
    tenths = np.rint(10.0 * (10.0 * factor.likely.astype(np.float64))) if of_crop else np.zeros(len(shares))
    years, basis = (tenths / 10.0).tolist() if of_crop else [None] * len(shares), factor.basis.tolist()
    marks = (marks * _MOST_TENTHS + tenths.astype(np.int64)) * len(FACTOR_BASES) + factor.basis
    inputs = _inputs(factor.inputs) or ((),) * len(shares)
    said = factor.said
    made: dict[tuple[int, int, int], answer.Factor] = {}
    told = []
    for row, alike in enumerate(zip(marks.tolist(), map(id, inputs), map(id, said), strict=True)):
        if (found := made.get(alike)) is None:
            sentence = said[row]
            found = made[alike] = answer.Factor(
                factor=factor.code,
                outcome=factor.outcome,
                years_in_ten=years[row],
                share=shares[row],
                basis=FACTOR_BASES[basis[row]],
                inputs=inputs[row],
                code=sentence.code,
                values=sentence.values,
                words=sentence.words,
            )
        told.append(found)
    return told


_MOST_TENTHS, _MOST_THOUSANDTHS = 128, 1024
"""More than the tenths of ten years, and the thousandths of a whole."""


def _shares(factor: Factor) -> tuple[list[answer.Share], NDArray[np.int64]]:
    """The share of each cultivar, rounded, one for all that have the same; beside it a number for each of them."""
    ends = [np.rint(1000.0 * end.astype(np.float64)) for end in (factor.likely, factor.low, factor.high)]
    marks = np.zeros(len(factor.likely), dtype=np.int64)
    for end in ends:
        marks = marks * _MOST_THOUSANDTHS + end.astype(np.int64)
    made: dict[int, answer.Share] = {}
    shares = []
    for mark, likely, low, high in zip(marks.tolist(), *((end / 1000.0).tolist() for end in ends), strict=True):
        if (found := made.get(mark)) is None:
            found = made[mark] = answer.Share(likely=likely, low=low, high=high)
        shares.append(found)
    return shares, marks


@lru_cache(maxsize=REMEMBERED_INPUTS)
def _inputs(given: tuple[Input, ...]) -> tuple[tuple[answer.FactorInput, ...], ...]:
    """The inputs of each cultivar; kept, since those that are traits are the same at every site."""
    made: dict[tuple[int, ...], tuple[answer.FactorInput, ...]] = {}
    of_each = zip(*(_told(one) for one in given), strict=True)
    return tuple([made.setdefault(tuple(map(id, inputs)), inputs) for inputs in of_each])


def _told(given: Input) -> list[answer.FactorInput]:
    """An input as it is told of each cultivar; one for all that have the same."""
    made: dict[tuple[float | None, float | None, int], answer.FactorInput] = {}
    told = []
    for value, deviation, basis in zip(
        rounded(given.value, 2), rounded(given.deviation, 2), given.basis.tolist(), strict=True
    ):
        figures = None if math.isnan(value) else value, None if math.isnan(deviation) else deviation
        if (found := made.get((*figures, basis))) is None:
            found = made[*figures, basis] = answer.FactorInput(
                trait=given.name, value=figures[0], deviation=figures[1], basis=FACTOR_BASES[basis]
            )
        told.append(found)
    return told


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
