"""Which figure of the site, if it were known, would most likely change what is planted: found by trying.

Each figure not told is set to its 20th and its 80th percentile, all else as it is, and the cultivars are ranked again.
What the best there are worth above those that would be planted now is what knowing the figure is worth: the usual value
of information. A figure that moves all cultivars alike changes no choice, but it may say that none of them should be
planted: each of the chosen that would no longer be advised counts besides. Rain is moved by its likely error of a
quarter, which moves the pressure of the diseases of wet leaves.
"""

from collections.abc import Callable, Sequence

import msgspec
import numpy as np

from domain.common.arrays import Bools, Floats
from domain.hazards.spot import short_of_water
from domain.orchard_site.conditions import SiteConditions
from domain.site_climate.site import Ground, Site
from domain.site_climate.site_years import HEIGHT_UNTOLD
from domain.suitability.fruit_factors import sound_under
from domain.suitability.ranking import cautious, least, outcome_mean, weights_by_outcome
from domain.suitability.site_fit import SiteFit, site_fit
from domain.suitability.suitability_request import Weights
from domain.suitability.verdicts import years_asked
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say
from domain.traits.trait_table import TraitTable


class FindingFigures(msgspec.Struct, frozen=True):
    """See parameters/suitability.csv, subject worth_finding_out."""

    planted: int
    least_worth: float
    no_longer_advised: float
    few_bee_years: float
    less_rain_power: float
    more_rain_power: float


FIGURES = figures("suitability", "worth_finding_out", FindingFigures)

BETWEEN_EQUALS = 1e-6
"""Of figures worth the same, the one that moves the crop more is asked first."""

QUESTIONS: dict[str, Callable[[Site], object]] = {
    "winter_chill": lambda site: site.winter_chill,
    "last_spring_frost": lambda site: site.last_spring_frost,
    "winter_minimum": lambda site: site.winter_minimum,
    "summer": lambda site: site.warmest_month_mean_c or site.monthly_normals,
    "rain": lambda site: site.rain_days_in_growing_season,
}
"""What can be asked of a site, and what of it was told."""


def worth_finding_out(
    site: Site,
    conditions: SiteConditions,
    traits: TraitTable,
    weights: Weights | None = None,
    among: Bools | None = None,
) -> tuple[Sentence, ...]:
    """What is not told, that first which would most likely change the choice; the ground comes last.

    The height comes before all where hills leave it open.
    among: the cultivars (n,) of the table that may be chosen; all, if left out. Records tell the temperatures, so
    nothing is asked of them beside records.
    """
    fit, weighed = site_fit(conditions, traits), weights or Weights()
    recorded = site.daily_records is not None or site.hourly_records is not None

    def value() -> dict[str, float]:
        return value_of_knowing(conditions, traits, fit, weighed, among)

    worth = value() if among is not None else conditions.kept.get("value_of_knowing", (traits, weighed), value)
    asked = [
        (-worth[figure], figure)
        for figure, told in QUESTIONS.items()
        if told(site) is None and worth[figure] >= FIGURES.least_worth and not (recorded and figure != "rain")
    ]
    hills = any(warning.code == HEIGHT_UNTOLD for warning in conditions.years.warnings)
    height = (say("find_out_elevation"),) if hills else ()
    by_warmth = {"winter_chill", "summer"} & {figure for _, figure in asked}
    few_bees = float(np.median(fit.factor("pollination").likely)) < FIGURES.few_bee_years
    of_ground = _of_ground(site.ground, conditions, by_warmth=bool(by_warmth), few_bees=few_bees)
    return (*height, *(say(f"find_out_{figure}") for _, figure in sorted(asked)), *of_ground)


ALWAYS = ("drainage", "ph", "sun_hours")
"""What of the ground matters anywhere."""


def _of_ground(
    ground: Ground | None, conditions: SiteConditions, *, by_warmth: bool, few_bees: bool
) -> tuple[Sentence, ...]:
    """What is not told of the ground: all of it, or the rest.

    by_warmth: whether a degree more or less would matter. few_bees: whether bees have few good days in bloom.
    """
    matters = _matters_here(ground, conditions, by_warmth=by_warmth, few_bees=few_bees)
    here = tuple(name for name in matters if _untold(ground, name))
    if ground is None:
        return (say("find_out_ground_and_more", missing=here) if here else say("find_out_ground"),)
    missing = (*(name for name in ALWAYS if _untold(ground, name)), *here)
    return (say("find_out_rest_of_ground", missing=missing),) if missing else ()


def _untold(ground: Ground | None, name: str) -> bool:
    return ground is None or getattr(ground, name) is None


def _matters_here(
    ground: Ground | None, conditions: SiteConditions, *, by_warmth: bool, few_bees: bool
) -> tuple[str, ...]:
    """What else of the ground would move the answer at this place, as far as the place says so.

    Water and what holds it, where rain and the soil as told leave a tree short; the slope where warmth decides; wind
    where bees have few good days; salt where gales strike.
    """
    found: list[str] = []
    unwatered = ground is None or ground.irrigated is not True
    if unwatered and not conditions.years.without_winter and _dry(ground, conditions):
        found += ["irrigated", "texture", "soil_depth_m"]
    if by_warmth and (ground is None or ground.lie in (None, "slope")):
        found.append("slope")
    if few_bees:
        found.append("wind")
    if ground is not None and ground.wind == "exposed":
        found.append("salt_spray")
    return tuple(found)


def _dry(ground: Ground | None, conditions: SiteConditions) -> bool:
    """Whether a tree on this ground falls short of water; kept with the years."""
    return conditions.kept_alike.get("dry", ground, lambda: short_of_water(ground, conditions.years) is not None)


def value_of_knowing(
    conditions: SiteConditions, traits: TraitTable, fit: SiteFit, weights: Weights, among: Bools | None = None
) -> dict[str, float]:
    """Gain in the mean value of what is planted, were each figure known; by figure of `QUESTIONS`.

    The value is that of the outcomes alone: in another climate other witnesses would be heard.
    """
    chosen = slice(None) if among is None else among
    total = sum(weights_by_outcome(weights).values())
    if total <= 0.0:
        return dict.fromkeys(QUESTIONS, 0.0)
    now = outcome_mean(fit, weights)

    def ranked(weight: float, then: Floats, usual: Floats, floor: float) -> Floats:
        """What the value is multiplied by with one outcome as it would then be."""
        share: Floats = (np.maximum(then, floor) / np.maximum(usual, floor)) ** (weight / total)
        return share

    crop = fit.outcomes["crop"]
    usual, likely = cautious(crop), np.maximum(crop.likely, np.float32(least("crop")))
    worth = {}
    for figure in QUESTIONS:
        if figure not in fit.crop_by_figure:
            continue
        # The order is by a cautious crop: moved in proportion, it stays as far below the likely one as before.
        moved = [usual * then / likely for then in np.clip(fit.crop_by_figure[figure], 0.0, 1.0)]
        cases = [now * ranked(weights.crop, then, usual, least("crop")) for then in moved]
        there = now[chosen]
        crossed = _no_longer_advised(there, usual[chosen], [then[chosen] for then in moved], years_asked(fit))
        worth[figure] = _gain(there, [case[chosen] for case in cases]) + FIGURES.no_longer_advised * crossed
        worth[figure] += BETWEEN_EQUALS * _moved(there, [then[chosen] for then in moved])
    sound, floor = fit.outcomes["sound_fruit"].likely, least("sound_fruit")
    wetter = conditions.kept.get("sound_by_rain", traits, lambda: _sound_by_rain(conditions, traits, fit))
    worth["rain"] = _gain(
        now[chosen], [(now * ranked(weights.sound_fruit, one, sound, floor))[chosen] for one in wetter]
    )
    return {figure: worth[figure] for figure in QUESTIONS}


def _sound_by_rain(conditions: SiteConditions, traits: TraitTable, fit: SiteFit) -> list[Floats]:
    """Sound fruit (n,) were there less rain than thought, and more; no weight counts in it."""
    harvest = np.nan_to_num(fit.harvest_first, nan=0.0)
    pressures = (
        {disease: value**power for disease, value in conditions.pressure.items()}
        for power in (FIGURES.less_rain_power, FIGURES.more_rain_power)
    )
    return sound_under(pressures, conditions, traits, harvest)


def _gain(now: Floats, cases: Sequence[Floats]) -> float:
    """Mean over the cases of what the best there are worth above what would be planted now."""
    count = min(FIGURES.planted, now.size)
    planted = np.argsort(-now, kind="stable")[:count]
    gains = [float(np.sort(case)[-count:].mean() - case[planted].mean()) for case in cases]
    return sum(gains) / len(gains)


def _moved(now: Floats, crops: Sequence[Floats]) -> float:
    """How far the crop of what would be planted lies apart in the two cases, mean."""
    planted = np.argsort(-now, kind="stable")[: min(FIGURES.planted, now.size)]
    return float(np.abs(crops[0] - crops[-1])[planted].mean())


def _no_longer_advised(now: Floats, cautious: Floats, cases: Sequence[Floats], years: float) -> float:
    """Share of what would be planted now that crosses the years asked of a cultivar to plant, mean over the cases."""
    planted = np.argsort(-now, kind="stable")[: min(FIGURES.planted, now.size)]
    enough = years / 10.0
    crossed = [np.mean((case[planted] >= enough) != (cautious[planted] >= enough)) for case in cases]
    return float(np.mean(crossed))
