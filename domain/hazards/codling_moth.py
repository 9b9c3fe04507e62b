"""Codling moth by degree days: flights, egg hatch and broods of each year, and when to look for strikes.

Degree days (C) above 10, cut off at 31.1, by a single sine, from 1 March (1 September in the south), as Michigan State
University starts its model: in mild winters the warm noons before do not bring the moths on. They first fly at 96
(standard deviation 14, counted from 1 January after cold winters; Jones V. P., Doerr M., Brunner J. F., Is biofix
necessary for predicting codling moth emergence in Washington State apple orchards?, Journal of Economic Entomology
101:1651-1657, 2008). From there the hatch of eggs begins, is greatest and ends, brood by brood, at the degree days of
the timeline of Intermountain Fruit (extension of Utah, Colorado and Idaho, F: first brood 220 to 250, 340 to 640, 920;
second 1,100, 1,320 to 1,720, 2,100; third 2,160); the next flights begin at 575 and 1,160 from the start of the year
(Okanagan-Kootenay Sterile Insect Release Program, degree days).

A larva that matures as the days grow short goes dormant instead of giving a moth. Day length decides: near Wenatchee,
47 N, all do so by 18 August (Jones V. P., WSU Tree Fruit, 2015); in southern England those that spin by the end of July
may still fly (NIAB); in Israel many do at 12 to 13.5 h and fewer at 14 to 15 (Steinberg S. et al., Diapause induction
in the codling moth, Entomologia Experimentalis et Applicata, 1992); ten degrees of latitude north shift the critical
day by 1.25 h in North America (Riedl H., Croft B. A., The effects of photoperiod and effective temperatures on the
seasonal phenology of the codling moth, Canadian Entomologist, 1978).
"""

from dataclasses import dataclass

import numpy as np

from domain.common.season_days import SEASON_DAYS, YEAR_DAYS
from domain.tree_year.curves import Floats
from domain.weather.heat import degree_days
from domain.weather.sun import day_length_h
from domain.weather.weather_generator import DailyWeather, season_days_of_year

LOWER_C, UPPER_C = 10.0, 31.1
FIRST_FLIGHT_DD = 96.0
FIRST_FLIGHT_SD_DD = 14.4

LATE_HATCH_DAYS = 60.0
"""Days of hatch reckoned for a brood whose peak no year reaches; common practice, no source."""

MIDWINTER_DAY = SEASON_DAYS - YEAR_DAYS
"""Season day of 1 January in the north, 1 July in the south."""
COUNTED_FROM_DAYS = 59
"""Days from there to 1 March (1 September is three days later in its year: 62), from which degree days are summed."""

AUTUMN_DAYS = 75
"""Days after the critical day after which no egg hatches any more, whatever the warmth; common practice, no source."""
LEAST_SHARE = 0.05
"""A brood smaller than this in a year is passed over."""

CRITICAL_LATITUDE = (0.0, 32.0, 47.0, 67.0)
CRITICAL_DAY_H = (11.5, 13.75, 14.5, 17.0)
"""Day length at which half of the larvae go dormant: in the middle of what the texts name at 32 and 47 degrees, shifted
by 1.25 h in ten degrees north of that; below 32 degrees from memory."""


@dataclass(frozen=True)
class Brood:
    """Degree days at which the moths begin to fly and their eggs begin, peak and cease to hatch."""

    flight: float
    hatch_begins: float
    hatch_peaks: float
    hatch_ends: float


BROODS = (
    Brood(FIRST_FLIGHT_DD, 227.0, 368.0, 607.0),
    Brood(575.0, 707.0, 940.0, 1263.0),
    Brood(1160.0, 1296.0, 1540.0, 1850.0),
    Brood(1747.0, 1883.0, 2127.0, 2437.0),
)
"""The last two hatches after the same span as the second's, and the fourth brood as the third one later: the texts end
with the begin of the third."""


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
    short = hours < np.interp(abs(latitude), CRITICAL_LATITUDE, CRITICAL_DAY_H)
    return int(days[np.argmax(short)]) if short.any() else SEASON_DAYS - 1


def codling_moth(weather: DailyWeather) -> CodlingMothYears:
    """Flights and hatches of every year. A brood is as large as the share of the one before that did not go dormant,
    and as the share of its own eggs that hatch before the autumn.
    """
    days = slice(MIDWINTER_DAY, SEASON_DAYS)
    daily = degree_days(weather.tmin_c[:, days], weather.tmax_c[:, days], LOWER_C, UPPER_C)
    whole_year = daily.sum(axis=1)
    daily[:, : COUNTED_FROM_DAYS + (3 if weather.south else 0)] = 0.0
    total = np.cumsum(daily, axis=1)
    critical = critical_day(weather.latitude)
    last = min(critical + AUTUMN_DAYS, SEASON_DAYS - 1)
    by_critical, by_autumn = total[:, critical - MIDWINTER_DAY], total[:, last - MIDWINTER_DAY]

    share = np.zeros((len(BROODS), len(total)))
    parents = np.ones(len(total))
    for n, brood in enumerate(BROODS):
        span = brood.hatch_ends - brood.hatch_begins
        share[n] = parents * np.clip((by_autumn - brood.hatch_begins) / span, 0.0, 1.0)
        parents = parents * np.clip((by_critical - brood.hatch_begins) / span, 0.0, 1.0)

    def days_of(level: str) -> Floats:
        reached = np.array([_day_reached(total, getattr(brood, level)) for brood in BROODS])
        found: Floats = np.where((share > LEAST_SHARE) & (reached <= last), reached, np.nan)
        return found

    return CodlingMothYears(
        flight=days_of("flight"),
        hatch_begins=days_of("hatch_begins"),
        hatch_peaks=days_of("hatch_peaks"),
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
    for n in np.nonzero(size > LEAST_SHARE)[0]:
        begins, peaks = (days[n][np.isfinite(days[n])] for days in (moth.hatch_begins, moth.hatch_peaks))
        first = float(np.median(begins))
        span = 2.0 * (float(np.median(peaks)) - first) if peaks.size else LATE_HATCH_DAYS
        struck += size[n] * np.clip((picked - first) / span, 0.0, 1.0)
    if size.sum() == 0.0:
        return np.zeros(picked.shape, dtype=np.float32)
    escaped: Floats = np.nan_to_num(1.0 - struck / size.sum(), nan=0.0).astype(np.float32)
    return escaped


def _day_reached(total: Floats, level: float) -> Floats:
    reached = total >= level
    day: Floats = np.where(reached[:, -1], MIDWINTER_DAY + np.argmax(reached, axis=1), np.nan)
    return day
