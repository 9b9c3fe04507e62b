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

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import Floats
from domain.tables.parameters import figures
from domain.weather.weather_generator import DailyWeather

WinterPart = Literal["early", "middle", "after_thaw", "late"]
WINTER_PARTS: tuple[WinterPart, ...] = get_args(WinterPart)


class HardeningFigures(msgspec.Struct, frozen=True):
    """How a tree gains and loses hardness over a winter."""

    hardening_c: float
    late_winter_day: int
    hardens_below_c: float
    hardens_fully_c: float
    short_days_from: int
    short_days_rate: float
    bud_hardening_days: float
    wood_hardening_days: float
    rest_over_portions: tuple[float, ...]
    softens_above_c: float
    softening_power: float
    bud_softening_c: float
    wood_softening_c: float
    lost_for_good: float
    hardened_again: float
    bud_frost_c: float
    wood_frost_c: float
    frost_days: float
    frost_below_c: float
    frost_fully_c: float
    harmless_c: float
    counted_c: float
    told_c: float


FIGURES = figures("tree_year", "winter_hardening", HardeningFigures)

FIRST_DAY, LAST_DAY = 62, 330
"""Season days between which winters are watched: 1 September and 26 May in the north."""


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
    hardening_days = _of_buds_and_wood(FIGURES.bud_hardening_days, FIGURES.wood_hardening_days)
    softening_c = _of_buds_and_wood(FIGURES.bud_softening_c, FIGURES.wood_softening_c)
    frost_c = _of_buds_and_wood(FIGURES.bud_frost_c, FIGURES.wood_frost_c)
    days = slice(FIRST_DAY, LAST_DAY)
    mean = np.ascontiguousarray((tmin_c[:, days] + tmax_c[:, days]).T) * np.float32(0.5)
    rest_over = np.clip(
        (portions_by_day[:, days].T - FIGURES.rest_over_portions[0])
        / (FIGURES.rest_over_portions[1] - FIGURES.rest_over_portions[0]),
        0.0,
        1.0,
    )
    cool = np.clip((FIGURES.hardens_below_c - mean) / (FIGURES.hardens_below_c - FIGURES.hardens_fully_c), 0.0, 1.0)
    cool[FIGURES.short_days_from - FIRST_DAY :] = np.maximum(
        cool[FIGURES.short_days_from - FIRST_DAY :], FIGURES.short_days_rate
    )
    cool *= 1.0 - rest_over
    warm = np.maximum(mean - FIGURES.softens_above_c, 0.0) ** FIGURES.softening_power * rest_over
    frost = (FIGURES.hardened_again * np.maximum(-mean, 0.0)).astype(np.float32)
    gained = (cool[:, None, :] * (FIGURES.hardening_c / hardening_days)).astype(np.float32)
    softened = (warm[:, None, :] * softening_c).astype(np.float32)

    frosty = np.clip((FIGURES.frost_below_c - mean) / (FIGURES.frost_below_c - FIGURES.frost_fully_c), 0.0, 1.0).astype(
        np.float32
    )

    # At nightfall: the first day is found unhardened, and each day leaves what the next one finds.
    hard, hardest = (np.zeros((len(mean) + 1, *gained.shape[1:]), dtype=np.float32) for _ in range(2))
    frozen = np.zeros((len(mean) + 1, mean.shape[1]), dtype=np.float32)
    ceiling, loss, again = np.full_like(hard[0], FIGURES.hardening_c), *np.empty((2, *hard.shape[1:]), np.float32)
    frost_days, for_good, none = np.float32(FIGURES.frost_days), np.float32(FIGURES.lost_for_good), np.float32(0.0)
    for day in range(len(mean)):
        before, after, most = hard[day], hard[day + 1], hardest[day]
        change = np.subtract(frosty[day], frozen[day], out=frozen[day + 1])
        change /= frost_days
        change += frozen[day]
        np.minimum(softened[day], before, out=loss)
        np.subtract(before, loss, out=after)
        loss *= for_good
        np.subtract(ceiling, loss, out=ceiling)
        np.add(after, frost[day], out=again)
        np.minimum(again, most, out=again)  # frost brings back what was there before, not more
        after += gained[day]
        np.maximum(after, again, out=after)
        np.minimum(after, np.maximum(ceiling, none, out=again), out=after)
        np.maximum(most, after, out=hardest[day + 1])
    full = np.float32(FIGURES.hardening_c)
    lacking = np.minimum(full - hard[:-1] + frost_c * (np.float32(1.0) - frozen[:-1, None]), full)
    return HardeningCourse(lacking, lacking - (full - hardest[:-1]))


def _of_buds_and_wood(buds: float, wood: float) -> Floats:
    return np.array([[buds], [wood]], dtype=np.float32)


def winter_exposure(weather: DailyWeather, portions_by_day: Floats) -> WinterExposure:
    """The worst nights of each season's first winter; portions (seasons, SEASON_DAYS) with frozen days credited."""
    course = hardening_course(weather.tmin_c, weather.tmax_c, portions_by_day)
    night = np.ascontiguousarray(weather.tmin_c[:, FIRST_DAY:LAST_DAY].T)[:, None, :]
    counted = np.clip((FIGURES.harmless_c - night) / (FIGURES.harmless_c - FIGURES.counted_c), 0.0, 1.0)
    felt = night - counted * course.lacking_c
    worst = felt.argmin(axis=0)[None]
    coldest = np.take_along_axis(felt, worst, axis=0)[0]
    lacking = np.take_along_axis(course.lacking_c, worst, axis=0)[0]
    lost = np.take_along_axis(course.lost_c, worst, axis=0)[0]
    named = [WINTER_PARTS.index(name) for name in ("middle", "early", "after_thaw", "late")]
    conditions = [lacking < FIGURES.told_c, lacking - lost > lost, worst[0] + FIRST_DAY < FIGURES.late_winter_day]
    part = np.select(conditions, named[:3], named[3]).astype(np.int8)
    return WinterExposure(coldest[0], coldest[1], part[0], part[1])
