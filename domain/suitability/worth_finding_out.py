"""Which figure of the site, if it were known, would most likely change what is planted: found by trying.

Each figure not told is set to its 20th and its 80th percentile, all else as it is, and the cultivars are ranked again.
What the best there are worth above those that would be planted now is what knowing the figure is worth: the usual value
of information. A figure that moves all cultivars alike changes no choice, but it may say that none of them should be
planted: each of the chosen that would no longer be advised counts besides. Rain is moved by its likely error of a
quarter, which moves the pressure of the diseases of wet leaves.
"""

from collections.abc import Callable, Sequence

import numpy as np

from domain.orchard_site.conditions import SiteConditions
from domain.site_climate.site import Site
from domain.suitability.origin_climate import likeness
from domain.suitability.ranking import FLOOR, LEAST_CROP, PLANT_YEARS, cautious_years, rank_values
from domain.suitability.site_fit import PERCENTILE_80, SiteFit, health_under, site_fit
from domain.suitability.suitability_request import Weights
from domain.traits.trait_table import TraitTable
from domain.tree_year.curves import Floats

PLANTED = 8
"""So many of the best are taken as those that would be planted."""

LEAST_WORTH = 0.0005
"""Gain in `rank_value` below which a figure is not asked for."""

NO_LONGER_ADVISED = 0.1
"""What one choice that would no longer be advised counts, in `rank_value`; common practice, no source."""

RAIN_POWERS = (1.35, 0.75)
"""A quarter less and a quarter more rain, as powers of a pressure between 0 and 1; common practice, no source."""

Told = Callable[[Site], object]

QUESTIONS: dict[str, tuple[Told, str]] = {
    "winter_chill": (
        lambda site: site.winter_chill,
        "The winter chill as a nearby weather station counts it, with the measure and the dates of the count.",
    ),
    "last_spring_frost": (
        lambda site: site.last_spring_frost,
        "The usual date of the last spring frost, and the date it passes one year in ten.",
    ),
    "winter_minimum": (
        lambda site: site.winter_minimum,
        "The hardiness zone, or how cold the coldest night of a usual winter is.",
    ),
    "summer": (
        lambda site: site.warmest_month_mean_c or site.monthly_normals,
        "The mean temperature of the warmest month.",
    ),
    "rain": (
        lambda site: site.rain_days_in_growing_season,
        "The number of rainy days from spring to early autumn: it decides scab and rots.",
    ),
}

GROUND = (
    "Drainage, soil pH, hours of sun and the lie of the spot (frost pocket or slope), and whether fruit trees stood "
    "there before."
)


def worth_finding_out(
    site: Site, conditions: SiteConditions, traits: TraitTable, weights: Weights | None = None
) -> tuple[str, ...]:
    """Sentences on what is not told, that first which would most likely change the choice; the ground comes last.

    Records tell the temperatures, so nothing is asked of them beside records.
    """
    fit, weighed = site_fit(conditions, traits), weights or Weights()
    recorded = site.daily_records is not None or site.hourly_records is not None
    worth = value_of_knowing(conditions, traits, fit, weighed)
    asked = [
        (-worth[figure], words)
        for figure, (told, words) in QUESTIONS.items()
        if told(site) is None and worth[figure] >= LEAST_WORTH and not (recorded and figure != "rain")
    ]
    ground = () if site.ground is not None else (GROUND,)
    return (*(words for _, words in sorted(asked)), *ground)


def value_of_knowing(
    conditions: SiteConditions, traits: TraitTable, fit: SiteFit, weights: Weights
) -> dict[str, float]:
    """Gain in the mean `rank_value` of what is planted, were each figure known; by figure of `QUESTIONS`."""
    now = rank_values(fit, weights)
    total = sum(getattr(weights, name) for name in weights.__struct_fields__)
    if total <= 0.0:
        return dict.fromkeys(QUESTIONS, 0.0)

    def ranked(weight: float, then: Floats, usual: Floats, least: float) -> Floats:
        """The rank with one outcome as it would then be."""
        share: Floats = (np.maximum(then, least) / np.maximum(usual, least)) ** (weight / total)
        return share

    cautious, likely = cautious_years(fit) / 10.0, np.maximum(fit.likely / 10.0, LEAST_CROP)
    worth = {}
    for figure, crops in fit.crop_by_figure.items():
        # The order is by a cautious crop: moved in proportion, it stays as far below the likely one as before.
        moved = [cautious * crop / likely for crop in np.clip(crops, 0.0, 1.0)]
        alike = _likeness(figure, conditions, traits)
        cases = [
            now
            * ranked(weights.crop, crop, cautious, LEAST_CROP)
            * ranked(weights.origin_climate, like, fit.likeness, FLOOR)
            for crop, like in zip(moved, alike, strict=True)
        ]
        worth[figure] = _gain(now, cases) + NO_LONGER_ADVISED * _no_longer_advised(now, cautious, moved)
    sound = [_sound(conditions, traits, fit, power) for power in RAIN_POWERS]
    worth["rain"] = _gain(now, [now * ranked(weights.sound_fruit, one, fit.sound, FLOOR) for one in sound])
    return {figure: worth[figure] for figure in QUESTIONS}


def _likeness(figure: str, conditions: SiteConditions, traits: TraitTable) -> tuple[Floats, Floats]:
    """Likeness to the climates of origin with the winter at its 20th and 80th percentile, else as it is.

    The summer is left as it is: likeness stands in for what is not known of a cultivar, and a degree in summer would
    move it more than it moves any fruit.
    """
    colder = float(PERCENTILE_80) * conditions.years.spread.winter_minimum_c if figure == "winter_minimum" else 0.0
    low, high = (
        likeness(
            conditions.summer.winter_minimum_c + side * colder,
            conditions.summer.summer_c,
            traits.value["origin_winter_c"],
            traits.value["origin_summer_c"],
        )
        for side in (-1.0, 1.0)
    )
    return low, high


def _sound(conditions: SiteConditions, traits: TraitTable, fit: SiteFit, power: float) -> Floats:
    pressure = {disease: value**power for disease, value in conditions.pressure.items()}
    return health_under(pressure, conditions, traits, np.nan_to_num(fit.harvest_first, nan=0.0)).sound


def _gain(now: Floats, cases: Sequence[Floats]) -> float:
    """Mean over the cases of what the best there are worth above what would be planted now."""
    count = min(PLANTED, now.size)
    planted = np.argsort(-now, kind="stable")[:count]
    gains = [float(np.sort(case)[-count:].mean() - case[planted].mean()) for case in cases]
    return sum(gains) / len(gains)


def _no_longer_advised(now: Floats, cautious: Floats, cases: Sequence[Floats]) -> float:
    """Share of what would be planted now that crosses the years asked of a cultivar to plant, mean over the cases."""
    planted = np.argsort(-now, kind="stable")[: min(PLANTED, now.size)]
    enough = PLANT_YEARS / 10.0
    crossed = [np.mean((case[planted] >= enough) != (cautious[planted] >= enough)) for case in cases]
    return float(np.mean(crossed))
