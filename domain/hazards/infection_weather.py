"""What the weather of a site's years does for one disease: how much infection a year, and what pressure that makes."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import Floats
from domain.common.kept import Kept
from domain.tables.parameters import figures
from domain.tree_year.stages import TreeStages
from domain.weather.wetness import lasting_days, spell_hours, stretch

Class = Literal["low", "moderate", "high"]


class PressureFigures(msgspec.Struct, frozen=True):
    """How a year's count becomes a pressure, and the pressures from which it has another word."""

    steepness: int
    moderate_from: float
    high_from: float


FIGURES = figures("hazards", "infection_weather", PressureFigures)
MOST_KEPT = 16
OF_THE_WEATHER = ("kept", "mean_c", "stretch", "spell_h")
"""What of an orchard turns on no stage of its trees."""


class DiseaseFigures(msgspec.Struct, frozen=True):
    """What every disease has, whatever its model; a model's own figures follow.

    half_pressure: the year's count that makes half of the full pressure. fruit_loss: share of the fruit lost by a very
    susceptible cultivar under full pressure. tree_death_a_year: chance a year of its death then.
    """

    half_pressure: float
    fruit_loss: float
    tree_death_a_year: float


@dataclass(frozen=True, eq=False)
class Orchard:
    """The years of a site as diseases meet them: season days from `first_day` on, arrays (years, days).

    wet: rain of each day, as 1 or 0 or, where no day is known, as a chance. winter_minimum_c: (years,).
    winter_mean_c: mean of the coldest month, C. present: disease -> how far it is there at all (its germ in the region,
    its other hosts near), 0 to 1.
    """

    first_day: int
    tmin_c: Floats
    tmax_c: Floats
    wet: NDArray[np.floating]
    stages: TreeStages
    winter_minimum_c: Floats
    winter_mean_c: float
    present: Mapping[str, float]
    kept: Kept = field(default_factory=lambda: Kept(MOST_KEPT), init=False, repr=False)
    """What turns on no stage of the trees; those of other stages have it in common."""

    def of_trees(self, stages: TreeStages) -> "Orchard":
        """The same years as trees of other stages meet them."""
        other = replace(self, stages=stages)
        other.__dict__.update({name: self.__dict__[name] for name in OF_THE_WEATHER if name in self.__dict__})
        return other

    @cached_property
    def mean_c(self) -> Floats:
        """Mean of the day's extremes (years, days)."""
        mean: Floats = np.float32(0.5) * (self.tmin_c + self.tmax_c)
        return mean

    @cached_property
    def stretch(self) -> Floats:
        """How much longer than usual rain keeps leaves wet on each day (years, days)."""
        return stretch(self.tmin_c, self.tmax_c)

    @cached_property
    def spell_h(self) -> Floats:
        """Hours for which leaves stay wet after the rain of each day (years, days)."""
        hours: Floats = self.stretch * spell_hours(self.wet)
        return hours

    def rain_lasts(
        self, needed_h: Callable[[Floats], Floats], during: NDArray[np.bool_], *, from_daylight: bool = False
    ) -> Floats:
        """Days a year (years,), of these, on which it rains and leaves stay wet for the hours needed
        (domain/weather/wetness.py).

        needed_h: the hours needed at mean temperatures (days,), C.
        """
        year, day = np.nonzero(during & (self.wet > 0.0))
        needed = needed_h(self.mean_c[year, day]) / self.stretch[year, day]
        return lasting_days(self.wet, needed, year, day, from_daylight=from_daylight)

    def within(self, start: Floats, end: Floats) -> NDArray[np.bool_]:
        """Days (years, days) from the season day `start` to before `end` (years,)."""
        day = self.first_day + np.arange(self.wet.shape[1], dtype=np.float32)
        inside: NDArray[np.bool_] = (day >= start[:, None]) & (day < end[:, None])
        return inside


@dataclass(frozen=True, eq=False)
class Infection:
    """What an infection model finds in the weather: the year's count (years,), and how far the climate lets it be."""

    by_year: Floats
    climate_share: float = 1.0


@dataclass(frozen=True, eq=False)
class InfectionWeather:
    """Infection by one disease, year by year.

    measure: what is counted, in words. by_year: (years,) that count. half_pressure: the count that makes half of the
    full pressure. chance_present: how far the disease is there at all (its hosts near, its region), 0 to 1.
    """

    disease: str
    measure: str
    by_year: Floats
    half_pressure: float
    chance_present: float = 1.0

    @property
    def pressure(self) -> float:
        """Pressure 0 (hardly seen) to 1 (every year, heavy), the mean over the years.

        Each year's is n^k / (n^k + half^k), k the steepness: a few infections die out, more of them feed each other,
        and past a point there is nothing left to infect.
        """
        risen = (self.by_year / self.half_pressure) ** FIGURES.steepness
        return self.chance_present * float((risen / (1.0 + risen)).mean())

    @property
    def pressure_class(self) -> Class:
        """The pressure in a word."""
        return pressure_class(self.pressure)


def pressure_class(pressure: float) -> Class:
    """The word for a pressure."""
    return "low" if pressure < FIGURES.moderate_from else "moderate" if pressure < FIGURES.high_from else "high"
