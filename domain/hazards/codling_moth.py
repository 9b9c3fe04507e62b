"""Codling moth by degree days: flights, egg hatch and broods of each year, and when to look for strikes.

Degree days by a single sine, from the start of spring. A larva that is full grown as the days grow short goes dormant
instead of giving a moth; day length decides, at the end of its time in the fruit and not when it hatches. Near
Wenatchee, 47 N, all do so by 18 August (Jones V. P., WSU Tree Fruit, 2015); in southern England those that spin by
the end of July may still fly (NIAB); in Israel many do at 12 to 13.5 h and fewer at 14 to 15 (Steinberg et al. 1992);
ten degrees of latitude north shift the critical day by 1.25 h in North America (Riedl, Croft 1978).
"""

from dataclasses import dataclass

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.common.season_days import SEASON_DAYS, YEAR_DAYS
from domain.tables.parameters import figures
from domain.weather.heat import degree_days
from domain.weather.sun import day_length_h
from domain.weather.weather_generator import DailyWeather, season_days_of_year

MIDWINTER_DAY = SEASON_DAYS - YEAR_DAYS
"""Season day of 1 January in the north, 1 July in the south."""


class CodlingMothFigures(msgspec.Struct, frozen=True):
    """Degree days (C) at which the moths of each brood fly and their eggs begin, peak and cease to hatch; the dormancy.

    lower_c, upper_c: bounds of the degree days. larva_dd: from hatch to full grown. counted_from_days: from
    midwinter. critical_day_h: day length (h) at which half of the larvae go dormant, by latitude. pressure_a_brood,
    highest_pressure: shares of the fruit.
    """

    lower_c: float
    upper_c: float
    counted_from_days: int
    flight_dd: tuple[float, ...]
    hatch_begins_dd: tuple[float, ...]
    hatch_peaks_dd: tuple[float, ...]
    hatch_ends_dd: tuple[float, ...]
    larva_dd: float
    late_hatch_days: float
    autumn_days: int
    least_share: float
    critical_latitude: tuple[float, ...]
    critical_day_h: tuple[float, ...]
    pressure_a_brood: float
    highest_pressure: float


FIGURES = figures("fruit", "codling_moth", CodlingMothFigures)

SOUTHERN_SPRING_LATER_DAYS = 3
"""1 September comes so many days later after 1 July than 1 March after 1 January."""


@dataclass(frozen=True)
class CodlingMothYears:
    """Codling moth in each year of a site; season days (broods, years), NaN where a brood does not come so far.

    share: (broods, years) how much of each brood there is, 0 to 1 of a full one. degree_days: (years,) of all the year.
    """

    flight: Floats
    hatch_begins: Floats
    hatch_peaks: Floats
    share: Floats
    degree_days: Floats

    @property
    def generations(self) -> Floats:
        """Broods of larvae a year (years,), partial ones as a share."""
        total: Floats = self.share.sum(axis=0)
        return total


def critical_day(latitude: float) -> int:
    """The season day on which half of the maturing larvae go dormant, after midsummer."""
    south = latitude < 0
    days = np.arange(YEAR_DAYS, SEASON_DAYS)
    hours = day_length_h(season_days_of_year(south)[days] + 1, latitude)
    short = hours < np.interp(abs(latitude), FIGURES.critical_latitude, FIGURES.critical_day_h)
    return int(days[np.argmax(short)]) if short.any() else SEASON_DAYS - 1


def codling_moth(weather: DailyWeather) -> CodlingMothYears:
    """Flights and hatches of every year. A brood is as large as the share of the one before that did not go dormant,
    and as the share of its own eggs that hatch before the autumn.
    """
    days = slice(MIDWINTER_DAY, SEASON_DAYS)
    daily = degree_days(weather.tmin_c[:, days], weather.tmax_c[:, days], FIGURES.lower_c, FIGURES.upper_c)
    whole_year = daily.sum(axis=1, dtype=np.float64)
    daily[:, : FIGURES.counted_from_days + (SOUTHERN_SPRING_LATER_DAYS if weather.south else 0)] = 0.0
    total = np.cumsum(daily, axis=1, dtype=np.float64)
    critical = critical_day(weather.latitude)
    last = min(critical + FIGURES.autumn_days, SEASON_DAYS - 1)
    by_critical, by_autumn = total[:, critical - MIDWINTER_DAY], total[:, last - MIDWINTER_DAY]

    begins = FIGURES.hatch_begins_dd
    share = np.zeros((len(begins), len(total)))
    parents = np.ones(len(total))
    for n, (begin, end) in enumerate(zip(begins, FIGURES.hatch_ends_dd, strict=True)):
        share[n] = parents * np.clip((by_autumn - begin) / (end - begin), 0.0, 1.0)
        ripe = by_critical - FIGURES.larva_dd  # what hatched before then has left the fruit by the critical day
        parents = parents * np.clip((ripe - begin) / (end - begin), 0.0, 1.0)

    def days_of(levels: tuple[float, ...]) -> Floats:
        reached = np.array([_day_reached(total, level) for level in levels])
        found: Floats = np.where((share > FIGURES.least_share) & (reached <= last), reached, np.nan)
        return found

    return CodlingMothYears(
        flight=days_of(FIGURES.flight_dd),
        hatch_begins=days_of(begins),
        hatch_peaks=days_of(FIGURES.hatch_peaks_dd),
        share=share,
        degree_days=whole_year,
    )


def escaped_share(moth: CodlingMothYears, picked: Floats) -> Floats:
    """Share of the year's strikes (cultivars,), 0 to 1, that come after the fruit is picked on a season day.

    Each brood's eggs hatch evenly about its peak, in proportion to its size; median dates, mean sizes. 0 where there is
    no moth, or no day (NaN).
    """
    size = moth.share.mean(axis=1)
    struck = np.zeros(picked.shape)
    for n in np.nonzero(size > FIGURES.least_share)[0]:
        begins, peaks = (days[n][np.isfinite(days[n])] for days in (moth.hatch_begins, moth.hatch_peaks))
        first = float(np.median(begins))
        span = 2.0 * (float(np.median(peaks)) - first) if peaks.size else FIGURES.late_hatch_days
        struck += size[n] * np.clip((picked - first) / span, 0.0, 1.0)
    if size.sum() == 0.0:
        return np.zeros(picked.shape, dtype=np.float32)
    escaped: Floats = np.nan_to_num(1.0 - struck / size.sum(), nan=0.0).astype(np.float32)
    return escaped


def _day_reached(total: Floats, level: float) -> Floats:
    reached = total >= level
    day: Floats = np.where(reached[:, -1], MIDWINTER_DAY + np.argmax(reached, axis=1), np.nan)
    return day
