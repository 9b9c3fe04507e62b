"""What is known of a climate before its figures are weighed: middle normals, and the ways in which they may be wrong.

A prior is a middle and a few *modes*: patterns over twelve mean temperatures and twelve diurnal ranges, each one
standard deviation long, so that a climate near the middle is ``middle + sum(step * mode)`` with standard normal steps.
Two more steps scale the weather itself: its day-to-day spread, and the share of it that lasts weeks. Every step has a
name, so that a figure can say which of them it speaks of.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.tables.parameters import figures
from domain.weather.climatology import PlaceClimate
from domain.weather.diurnal_range import RangeRule, diurnal_range, rain_days, range_spread
from domain.weather.normals import MonthlyNormals, monthly_means, normals_of
from domain.weather.regional_spread import AS_EXPECTED, RegionalSpread, regional_spread
from domain.weather.variability import Variability, expected_variability
from domain.weather.weather_generator import DailyWeather, simulate

Floats = NDArray[np.float64]


class PriorFigures(msgspec.Struct, frozen=True):
    """How far a climate may differ from its middle, beside what the climatology misses."""

    spread_log_sd: float
    slow_log_sd: float
    most_slow_share: float
    least_range_c: float
    place_winter_c: float
    place_spring_c: float
    place_range_winter_c: float
    place_nights_c: float
    normals_year_c: float
    normals_winter_c: float
    normals_spring_c: float
    normals_range_c: float
    normals_range_winter_c: float
    normals_nights_c: float


FIGURES = figures("site_climate", "climate_prior", PriorFigures)

_WINTER_NORTH = np.cos(2.0 * np.pi * (np.arange(12) - 0.5) / 12.0)
_SPRING_NORTH = np.sin(2.0 * np.pi * (np.arange(12) - 0.5) / 12.0)


_SPRING_NIGHTS_NORTH = np.array([0.0, 0.25, 0.75, 1.0, 0.75, 0.25, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0])
_AUTUMN_NIGHTS_NORTH = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.25, 0.75, 1.0, 0.75, 0.25])
"""Share of each month in what is not known of the nights of spring and of autumn by themselves."""

Step = Literal[
    "pattern",
    "year",
    "winter",
    "spring",
    "range",
    "range_winter",
    "spring_nights",
    "autumn_nights",
    "day_to_day",
    "lasting",
]
"""What a step moves: a pattern of the library, one of `seasonal_modes`, or the weather's spread and its slow part."""
SEASONAL: tuple[Step, ...] = ("year", "winter", "spring", "range", "range_winter", "spring_nights", "autumn_nights")


@dataclass(frozen=True)
class ClimatePrior:
    """A middle climate and its modes. All arrays January first.

    tmean_c, range_c: (12,). modes: (k, 24), the first twelve columns mean temperature and the others diurnal range.
    named: what each mode moves (k,).
    rain_mm, rain_days: (12,). regional: how the day-to-day spread differs from what the normals let expect.
    """

    latitude: float
    tmean_c: Floats
    range_c: Floats
    modes: Floats
    rain_mm: Floats | None
    rain_days: Floats | None
    regional: RegionalSpread = AS_EXPECTED
    named: tuple[Step, ...] = SEASONAL

    @property
    def moved(self) -> tuple[Step, ...]:
        """What each step moves (steps,)."""
        return (*self.named, "day_to_day", "lasting")

    @property
    def steps(self) -> int:
        """Number of steps that lead from the middle to a climate: the modes, the spread, the slow share."""
        return len(self.modes) + 2

    def normals(self, steps: Floats) -> MonthlyNormals:
        """The normals these steps lead to."""
        moved = np.concatenate([self.tmean_c, self.range_c]) + steps[: len(self.modes)] @ self.modes
        return normals_of(moved[:12], np.maximum(moved[12:], FIGURES.least_range_c), self.rain_mm, self.rain_days)

    def variability(self, steps: Floats) -> Variability:
        """How the weather varies in the climate these steps lead to."""
        expected = expected_variability(self.normals(steps), self.latitude)
        tmin_sd_c, tmax_sd_c = self.regional.of(expected)
        return scaled(replace(expected, tmin_sd_c=tmin_sd_c, tmax_sd_c=tmax_sd_c), steps[-2], steps[-1])

    def weather(self, steps: Floats, years: int) -> DailyWeather:
        """Simulated seasons of the climate these steps lead to."""
        return simulate(self.normals(steps), self.latitude, years=years, variability=self.variability(steps))


def scaled(expected: Variability, spread_step: float, slow_step: float) -> Variability:
    """Variability with its spread and its slow share moved by steps of one standard deviation."""
    factor = float(np.exp(FIGURES.spread_log_sd * spread_step))
    share = float(np.clip(expected.slow_share * np.exp(FIGURES.slow_log_sd * slow_step), 0.0, FIGURES.most_slow_share))
    return replace(
        expected,
        tmin_sd_c=expected.tmin_sd_c * factor,
        tmax_sd_c=expected.tmax_sd_c * factor,
        slow_share=share,
    )


def seasonal_modes(
    latitude: float,
    *,
    year_c: float,
    winter_c: float,
    spring_c: float,
    range_c: float,
    range_winter_c: float,
    nights_c: float,
) -> Floats:
    """Seven modes, as in SEASONAL: the year, winter against summer, spring against autumn, the daily range, its winter
    against summer, and the nights of spring and of autumn, with the days as they are.
    """
    sign, turn = (-1.0, 6) if latitude < 0 else (1.0, 0)
    none, all_year, winter, spring = np.zeros(12), np.ones(12), sign * _WINTER_NORTH, sign * _SPRING_NORTH
    return np.array(
        [
            np.concatenate([all_year * year_c, none]),
            np.concatenate([winter * winter_c, none]),
            np.concatenate([spring * spring_c, none]),
            np.concatenate([none, all_year * range_c]),
            np.concatenate([none, winter * range_winter_c]),
            *(
                np.concatenate([np.roll(nights, turn) * nights_c / 2.0, -np.roll(nights, turn) * nights_c])
                for nights in (_SPRING_NIGHTS_NORTH, _AUTUMN_NIGHTS_NORTH)
            ),
        ]
    )


def prior_of_place(
    place: PlaceClimate, latitude: float, rule: RangeRule | None = None, without: Iterable[str] = ()
) -> ClimatePrior:
    """The climate of a place by the climatology and the rule of the diurnal range, with the spreads of both.

    ``rule``, and ``without`` (see `regional_spread`), are for tests that leave the place itself out.
    """
    return ClimatePrior(
        latitude=latitude,
        tmean_c=place.tmean_c,
        range_c=diurnal_range(place, latitude, rule),
        modes=seasonal_modes(
            latitude,
            year_c=place.tmean_spread_c,
            winter_c=FIGURES.place_winter_c,
            spring_c=FIGURES.place_spring_c,
            range_c=range_spread(place, latitude, rule),
            range_winter_c=FIGURES.place_range_winter_c,
            nights_c=FIGURES.place_nights_c,
        ),
        rain_mm=place.rain_mm,
        rain_days=rain_days(place.rain_mm, place.tmean_c),
        regional=regional_spread(latitude, place.longitude, without),
    )


def prior_of_normals(
    normals: MonthlyNormals, latitude: float, longitude: float | None = None, without: Iterable[str] = ()
) -> ClimatePrior:
    """Normals that were given: the little that the period and the shelter of the station leave open."""
    tmin, tmax = np.array(normals.tmin_c), np.array(normals.tmax_c)
    mean = monthly_means(normals)
    rain = None if normals.rain_mm is None else np.array(normals.rain_mm)
    days = None if normals.rain_days is None else np.array(normals.rain_days)
    if days is None and rain is not None:
        days = rain_days(rain, mean)
    return ClimatePrior(
        latitude=latitude,
        tmean_c=mean,
        range_c=tmax - tmin,
        modes=seasonal_modes(
            latitude,
            year_c=FIGURES.normals_year_c,
            winter_c=FIGURES.normals_winter_c,
            spring_c=FIGURES.normals_spring_c,
            range_c=FIGURES.normals_range_c,
            range_winter_c=FIGURES.normals_range_winter_c,
            nights_c=FIGURES.normals_nights_c,
        ),
        rain_mm=rain,
        rain_days=days,
        regional=AS_EXPECTED if longitude is None else regional_spread(latitude, longitude, without),
    )
