"""Judge cultivars at a site: from a request and the site's conditions to the ranked answer."""

import math
from functools import lru_cache
from typing import get_args

import numpy as np

from domain.common.season_days import SEASON_DAYS, calendar
from domain.hazards.infection_weather import pressure_class
from domain.orchard_site.conditions import SiteConditions
from domain.suitability import suitability_answer as answer
from domain.suitability import words
from domain.suitability.ranking import limiting_factors, rank_values, verdicts
from domain.suitability.site_fit import SiteFit, site_fit
from domain.suitability.suitability_request import Weights
from domain.tables.cultivars import DISEASES
from domain.traits.trait_table import TraitTable

SOUND_CLASSES: tuple[tuple[float, answer.Grade], ...] = ((0.55, "good"), (0.30, "fair"), (-1.0, "poor"))
QUALITY_CLASSES: tuple[tuple[float, answer.Grade], ...] = ((0.72, "good"), (0.5, "fair"), (-1.0, "poor"))
UNKNOWN_SOUND_SPREAD = 0.16
REMEMBERED_ANSWERS = 16
"""Answers kept, a few MB each for all advised cultivars."""
PICKING_DAYS = 14
"""Days over which one cultivar is picked; common practice, no source."""


@lru_cache(maxsize=REMEMBERED_ANSWERS)
def assess(
    conditions: SiteConditions, traits: TraitTable, weights: Weights | None = None, evidence: bool = False
) -> tuple[answer.Suitability, ...]:
    """Every cultivar of the table at the site, best first by `rank_value`, those not known last.

    Asked again of the same site, table and weights, it is remembered.
    """
    fit = site_fit(conditions, traits)
    ranks = rank_values(fit, weights or Weights())
    verdict = verdicts(fit, ~np.isnan(traits.value["ripening_offset_days"]))
    limiting = limiting_factors(fit)
    columns = _Columns(conditions, traits, fit)
    judged = [columns.row(i, float(ranks[i]), verdict[i], limiting[i], evidence) for i in range(len(fit.cultivars))]
    return tuple(sorted(judged, key=lambda s: (s.verdict == "not_known", -(s.rank_value or 0.0), s.id)))


class _Columns:
    """The numbers of a fit as plain lists, so that a row is made without touching arrays."""

    def __init__(self, conditions: SiteConditions, traits: TraitTable, fit: SiteFit) -> None:
        self.fit = fit
        self.calendar = calendar(fit.south)
        self.fixed = traits.fixed
        self.standing = _standings(conditions)
        self.chill_site = float(np.median(conditions.clock.chill_total))
        self.winter_site = float(conditions.winter_minimum_c.mean())
        self.season_end = self.calendar[int(np.median(conditions.clock.last_ripening_day))]
        self.value = {trait: array.tolist() for trait, array in traits.value.items()}
        self.spread = {trait: array.tolist() for trait, array in traits.spread.items()}
        self.basis = {trait: known.tolist() for trait, known in traits.known.items()}
        self.factor_years = {
            name: np.round(array.astype(np.float64), 1).tolist() for name, array in fit.factor_years.items()
        }
        self.likely, self.low, self.high = fit.likely.tolist(), fit.low.tolist(), fit.high.tolist()
        self.frost_if_later = fit.frost_years_if_later.tolist()
        self.cold_harm = fit.cold_harm.tolist()
        self.survives = np.round(fit.survives_ten_years.astype(np.float64), 2).tolist()
        self.sound, self.sound_spread = fit.sound.tolist(), fit.sound_spread.tolist()
        self.quality = fit.quality.tolist()
        self.bloom = [np.median(days, axis=1).tolist() for days in (fit.bloom.first, fit.bloom.full, fit.bloom.end)]
        self.bloom_spread = fit.bloom_spread_days.tolist()
        self.harvest = fit.harvest_first.tolist()
        self.harvest_spread = fit.harvest_spread_days.tolist()

    def row(self, i: int, rank: float, verdict: str, limiting: str, evidence: bool) -> answer.Suitability:
        cultivar = self.fit.cultivars[i]
        fixed = self.fixed[i]
        known = verdict != "not_known"
        bloom = self._bloom(i)
        harvest = self._harvest(i)
        return answer.Suitability(
            cultivar=cultivar.name,
            id=cultivar.id,
            aliases=fixed.aliases,
            verdict=verdict,  # type: ignore[arg-type]  # one of the four literals, made by `verdicts`
            words=words.verdict(verdict, cultivar.name, self.likely[i], limiting),
            rank_value=round(rank, 4) if known else None,
            cropping_years_in_ten=self._years(i) if known else None,
            survives_ten_years=self.survives[i] if known else None,
            years_to_first_crop=fixed.years_to_first_crop,
            sound_fruit_unsprayed=self._sound(i),
            quality_here=next(name for bound, name in QUALITY_CLASSES if self.quality[i] >= bound),
            factors=self._factors(i, bloom, harvest),
            limiting=limiting if known else None,
            bloom=bloom,
            harvest=harvest,
            storage_weeks=fixed.storage_weeks,
            diseases=tuple(
                by_tolerance[tolerance]
                for by_tolerance, tolerance in zip(self.standing, fixed.tolerances, strict=True)
                if tolerance in by_tolerance
            ),
            tree=fixed.tree,
            cautions=fixed.cautions,
            traits=answer.trait_evidence(cultivar) if evidence else None,
        )

    def _years(self, i: int) -> answer.YearsInTen:
        return answer.YearsInTen(
            likely=math.floor(self.likely[i] + 0.5),
            low=math.floor(self.low[i] + 0.5),
            high=math.floor(self.high[i] + 0.5),
        )

    def _sound(self, i: int) -> answer.Grade:
        if self.sound_spread[i] > UNKNOWN_SOUND_SPREAD:
            return "unknown"
        return next(name for bound, name in SOUND_CLASSES if self.sound[i] >= bound)

    def _bloom(self, i: int) -> answer.BloomWindow | None:
        first, full, end = (days[i] for days in self.bloom)
        if full >= SEASON_DAYS:  # no bloom in at least half of the seasons
            return None
        return answer.BloomWindow(
            first=self.calendar[round(first)],
            full=self.calendar[round(full)],
            petal_fall=self.calendar[min(round(end), SEASON_DAYS)],
            spread_days=math.ceil(self.bloom_spread[i]),
        )

    def _harvest(self, i: int) -> answer.HarvestWindow | None:
        day = self.harvest[i]
        if math.isnan(day) or day >= SEASON_DAYS:
            return None
        return answer.HarvestWindow(
            first=self.calendar[round(day)],
            last=self.calendar[round(day) + PICKING_DAYS],
            spread_days=math.ceil(self.harvest_spread[i]),
        )

    def _basis(self, i: int, trait: str) -> str:
        return "computed" if self.basis[trait][i] else "imputed"

    def _factors(
        self, i: int, bloom: answer.BloomWindow | None, harvest: answer.HarvestWindow | None
    ) -> tuple[answer.Factor, ...]:
        years = {name: column[i] for name, column in self.factor_years.items()}
        value, spread = self.value, self.spread
        ripening_known = not math.isnan(value["ripening_offset_days"][i])
        factors = [
            answer.Factor(
                factor="winter_chill",
                years_in_ten=years["winter_chill"],
                basis=self._basis(i, "chill_portions"),
                words=words.chill(
                    years["winter_chill"], value["chill_portions"][i], spread["chill_portions"][i], self.chill_site
                ),
            ),
            answer.Factor(
                factor="frost_at_bloom",
                years_in_ten=years["frost_at_bloom"],
                basis=self._basis(i, "bloom_offset_days"),
                words=words.frost(years["frost_at_bloom"], bloom.full if bloom else None, self.frost_if_later[i]),
            ),
            answer.Factor(
                factor="winter_cold",
                years_in_ten=years["winter_cold"],
                basis=self._basis(i, "hardiness_c"),
                words=words.cold(years["winter_cold"], value["hardiness_c"][i], self.winter_site, self.cold_harm[i]),
            ),
        ]
        if ripening_known:
            factors.append(
                answer.Factor(
                    factor="ripening_heat",
                    years_in_ten=years["ripening_heat"],
                    basis=self._basis(i, "ripening_offset_days"),
                    words=words.ripening(years["ripening_heat"], harvest.first if harvest else None, self.season_end),
                )
            )
        if self.basis["biennial"][i]:
            factors.append(
                answer.Factor(
                    factor="alternate_bearing",
                    years_in_ten=years["alternate_bearing"],
                    basis="computed",
                    words=words.alternate(years["alternate_bearing"]),
                )
            )
        factors.append(
            answer.Factor(
                factor="pollination",
                years_in_ten=years["pollination"],
                basis="assumed",
                words=words.pollination(years["pollination"]),
            )
        )
        return tuple(factors)


def _standings(conditions: SiteConditions) -> tuple[dict[str, answer.DiseaseStanding], ...]:
    """For each disease what is said of a cultivar of each tolerance; unknown ones only where the disease presses."""
    tolerances = get_args(answer.Tolerance)
    standings = []
    for disease in DISEASES:
        pressure = pressure_class(conditions.pressure[disease])
        told = [tolerance for tolerance in tolerances if tolerance != "unknown" or pressure != "low"]
        standings.append({t: answer.DiseaseStanding(disease=disease, tolerance=t, pressure=pressure) for t in told})
    return tuple(standings)
