"""How hard buds and wood are on each night of a winter, and the night that counts as the coldest.

A tree hardens through autumn as days shorten and cool, stands hardest in the cold of mid-winter, and loses hardness in
warm spells once its rest is over. A night is therefore counted as colder than it was by what the tissue had not yet
gained, or had lost again: then one figure, the hardiness in full winter rest, does for the whole winter.

Form: two stages of hardening, short days and then cold (Howell G. S. and Weiser C. J., The environmental control of
cold acclimation in apple, Plant Physiology 45, 1970, abstract). Loss in warmth up to 15 C in a day at greenhouse heat,
15 C won back in three days at -15 C, but only up to a ceiling that sinks with every day of loss (Fluctuations in the
cold resistance of apple twigs during spring dehardening, J. Amer. Soc. Hort. Sci. 95, 1970, abstract). That about a
third is lost for good is what breeders near Moscow ask of one tree: -25 C by 10 December, -40 C in mid-winter, -25 C
just after a thaw, -35 C once hardened again (Kichina's four components as quoted at forum.prihoz.ru and in About
hardiness of apple, buildguide.info, 2016). Wood of the trunk hardens last and is what autumn freezes kill; buds soften
first (Damage and recovery in deciduous orchard trees from major freezes, USDA ARS 22-49, 1959, summary; Effects of 2010
cold snap linger, Good Fruit Grower).

The constants are fitted by hand to the figures of tests/published/test_winter_courses.py, not taken from one source.
"""

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from domain.tree_year.curves import Floats
from domain.weather.weather_generator import DailyWeather

WinterPart = Literal["early", "middle", "after_thaw", "late"]
WINTER_PARTS: tuple[WinterPart, ...] = get_args(WinterPart)

HARDENING_C = 22.0
"""Degrees between the hardness of swelling buds and of full rest. Half of the buds of Gala died at -9.4 C in the middle
of March at Prosser (Washington State University AgWeatherNet, Cold hardiness warning, 2014); at silver tip a tenth die
at -9.4 C and nine tenths at -16.7 C (Penn State Extension, Orchard frost: critical temperatures), in full rest at -30
to -40 C."""

FIRST_DAY, LAST_DAY = 62, 330
"""Season days between which winters are watched: 1 September and 26 May in the north."""

LATE_WINTER_DAY = 243
"""1 March in the north: from here on what is lost is called late winter and no longer a thaw."""

HARDENS_BELOW_C, HARDENS_FULLY_C = 14.0, 4.0
"""Daily means between which autumn days begin to harden and harden at full rate."""

SHORT_DAYS_FROM, SHORT_DAYS_RATE = 92, 0.4
"""From 1 October (north) days are short enough to harden a tree however mild, at this share of the full rate."""

HARDENING_DAYS = np.array([[35.0], [50.0]], dtype=np.float32)
"""Days at full rate that buds and wood take to harden."""

REST_OVER_PORTIONS = (55.0, 95.0)
"""Chill portions, frozen days credited, between which rest ends and warmth begins to soften the tree."""

SOFTENS_ABOVE_C, SOFTENING_POWER = 1.0, 1.5
SOFTENING_C = np.array([[0.05], [0.025]], dtype=np.float32)
"""A day's loss (C) of buds and of wood is this times the degrees above the base raised to the power: of buds 1.4 C at
a mean of 10 C and 4.1 C at 20 C."""

LOST_FOR_GOOD = 1.0 / 3.0
HARDENED_AGAIN = 1.0 / 3.0
"""Share of a loss that no cold brings back, and degrees won back a day for each degree of mean frost."""

FROST_C = np.array([[6.0], [0.0]], dtype=np.float32)
FROST_DAYS, FROST_BELOW_C, FROST_FULLY_C = 4.0, 2.0, -5.0
"""The last of their hardness (C) buds have only in frost: over some days it follows how far daily means lie between the
two temperatures. In Hungary's mild Januaries half of the buds died at -22 to -30 C, by cultivar and year, short of what
they can bear (Szalay L. et al., Frost hardiness of apple generative buds during dormancy, Acta agric. Slovenica, 2017).
Wood is not known to do so in measure: what it lacks in mild winters is in the hardiness adopted from them."""

HARMLESS_C, COUNTED_C = -8.0, -13.0
"""Nights above the first hurt no closed bud and no ripe wood, however soft; below the second the whole lack counts.
Open buds are the business of frost at bloom."""

TOLD_C = 3.0
"""A lack of hardness of at least this much on the worst night names the part of the winter."""


@dataclass(frozen=True, eq=False)
class WinterExposure:
    """The worst night of each season as a tree in full rest would feel it, C, and the part of winter it fell in.

    buds_c, wood_c: (seasons,). buds_part, wood_part: (seasons,) positions in `WINTER_PARTS`.
    """

    buds_c: Floats
    wood_c: Floats
    buds_part: NDArray[np.int8]
    wood_part: NDArray[np.int8]


@dataclass(frozen=True, eq=False)
class HardeningCourse:
    """What buds (0) and wood (1) lack of full hardness at nightfall, C, and how much of it warmth took or withheld.

    All (days, 2, seasons); the first day is `FIRST_DAY`.
    """

    lacking_c: Floats
    lost_c: Floats


def hardening_course(tmin_c: Floats, tmax_c: Floats, portions_by_day: Floats) -> HardeningCourse:
    """Follow hardness day by day from arrays (seasons, season days) of minima, maxima (C) and chill portions."""
    days = slice(FIRST_DAY, LAST_DAY)
    mean = np.ascontiguousarray((tmin_c[:, days] + tmax_c[:, days]).T) * np.float32(0.5)
    rest_over = np.clip(
        (portions_by_day[:, days].T - REST_OVER_PORTIONS[0]) / (REST_OVER_PORTIONS[1] - REST_OVER_PORTIONS[0]), 0.0, 1.0
    )
    cool = np.clip((HARDENS_BELOW_C - mean) / (HARDENS_BELOW_C - HARDENS_FULLY_C), 0.0, 1.0)
    cool[SHORT_DAYS_FROM - FIRST_DAY :] = np.maximum(cool[SHORT_DAYS_FROM - FIRST_DAY :], SHORT_DAYS_RATE)
    cool *= 1.0 - rest_over
    warm = np.maximum(mean - SOFTENS_ABOVE_C, 0.0) ** SOFTENING_POWER * rest_over
    frost = (HARDENED_AGAIN * np.maximum(-mean, 0.0)).astype(np.float32)
    gained = (cool[:, None, :] * (HARDENING_C / HARDENING_DAYS)).astype(np.float32)
    softened = (warm[:, None, :] * SOFTENING_C).astype(np.float32)

    frosty = np.clip((FROST_BELOW_C - mean) / (FROST_BELOW_C - FROST_FULLY_C), 0.0, 1.0).astype(np.float32)

    hard = np.zeros(gained.shape[1:], dtype=np.float32)
    hardest, ceiling = hard.copy(), np.full_like(hard, HARDENING_C)
    frozen = np.zeros(mean.shape[1], dtype=np.float32)
    lacking, lost = np.empty_like(gained), np.empty_like(gained)
    for day in range(len(mean)):
        np.minimum(HARDENING_C - hard + FROST_C * (1.0 - frozen), HARDENING_C, out=lacking[day])
        np.subtract(lacking[day], HARDENING_C - hardest, out=lost[day])
        frozen = frozen + (frosty[day] - frozen) / np.float32(FROST_DAYS)
        loss = np.minimum(softened[day], hard)
        hard = hard - loss
        ceiling = ceiling - np.float32(LOST_FOR_GOOD) * loss
        again = np.minimum(hard + frost[day], hardest)  # frost brings back what was there before, not more
        hard = np.minimum(np.maximum(hard + gained[day], again), np.maximum(ceiling, 0.0))
        hardest = np.maximum(hardest, hard)
    return HardeningCourse(lacking, lost)


def winter_exposure(weather: DailyWeather, portions_by_day: Floats) -> WinterExposure:
    """The worst nights of each season's first winter; portions (seasons, SEASON_DAYS) with frozen days credited."""
    course = hardening_course(weather.tmin_c, weather.tmax_c, portions_by_day)
    night = np.ascontiguousarray(weather.tmin_c[:, FIRST_DAY:LAST_DAY].T)[:, None, :]
    counted = np.clip((HARMLESS_C - night) / (HARMLESS_C - COUNTED_C), 0.0, 1.0)
    felt = night - counted * course.lacking_c
    worst = felt.argmin(axis=0)[None]
    coldest = np.take_along_axis(felt, worst, axis=0)[0]
    lacking = np.take_along_axis(course.lacking_c, worst, axis=0)[0]
    lost = np.take_along_axis(course.lost_c, worst, axis=0)[0]
    named = [WINTER_PARTS.index(name) for name in ("middle", "early", "after_thaw", "late")]
    conditions = [lacking < TOLD_C, lacking - lost > lost, worst[0] + FIRST_DAY < LATE_WINTER_DAY]
    part = np.select(conditions, named[:3], named[3]).astype(np.int8)
    return WinterExposure(coldest[0], coldest[1], part[0], part[1])
