"""Made winters: the mean course of a climate as one season of days, to be warmed or cooled on named dates."""

from dataclasses import dataclass

import numpy as np

from domain.common.arrays import Floats
from domain.common.season_days import season_day
from domain.tree_year.clock import site_clock
from domain.tree_year.winter_hardening import (
    FIRST_DAY,
    HardeningCourse,
    WinterExposure,
    hardening_course,
    winter_exposure,
)
from domain.weather.normals import MonthlyNormals
from domain.weather.seasons import seasons
from domain.weather.weather_generator import DailyWeather, daily_cycle, season_days_of_year

COLD_CONTINENT = MonthlyNormals(
    tmin_c=(-12.0, -10.0, -4.0, 3.0, 9.0, 15.0, 17.0, 16.0, 11.0, 5.0, -2.0, -9.0),
    tmax_c=(-2.0, 0.0, 7.0, 15.0, 22.0, 27.0, 29.0, 28.0, 23.0, 16.0, 7.0, 0.0),
)
MILD_COAST = MonthlyNormals(
    tmin_c=(4.0, 4.0, 5.0, 6.0, 8.0, 11.0, 13.0, 13.0, 11.0, 9.0, 6.0, 5.0),
    tmax_c=(10.0, 11.0, 12.0, 14.0, 17.0, 19.0, 21.0, 21.0, 19.0, 16.0, 12.0, 10.0),
)


def turned(normals: MonthlyNormals) -> MonthlyNormals:
    """The same climate on the other half of the earth."""
    return MonthlyNormals(
        tmin_c=normals.tmin_c[6:] + normals.tmin_c[:6], tmax_c=normals.tmax_c[6:] + normals.tmax_c[:6]
    )


@dataclass
class MadeWinter:
    """One season of daily minima and maxima, C; the steps change days and hand the winter back."""

    tmin_c: Floats
    tmax_c: Floats
    south: bool = False

    @classmethod
    def of(cls, normals: MonthlyNormals, *, south: bool = False) -> "MadeWinter":
        days = season_days_of_year(south)
        low, high = (daily_cycle(t)[days].astype(np.float32) for t in (normals.tmin_c, normals.tmax_c))
        return cls(low, high, south)

    def warmer(self, first: str, days: int, by_c: float) -> "MadeWinter":
        start = season_day(first, self.south)
        self.tmin_c[start : start + days] += by_c
        self.tmax_c[start : start + days] += by_c
        return self

    def days_of(self, first: str, days: int, tmin_c: float, tmax_c: float) -> "MadeWinter":
        start = season_day(first, self.south)
        self.tmin_c[start : start + days] = tmin_c
        self.tmax_c[start : start + days] = tmax_c
        return self

    @property
    def weather(self) -> DailyWeather:
        return DailyWeather(
            south=self.south, latitude=-45.0 if self.south else 45.0, tmin_c=self.tmin_c[None], tmax_c=self.tmax_c[None]
        )

    def portions(self) -> Floats:
        return site_clock(seasons(self.weather)).chill.by_day

    def exposure(self) -> WinterExposure:
        return winter_exposure(self.weather, self.portions())

    def course(self) -> HardeningCourse:
        return hardening_course(self.tmin_c[None], self.tmax_c[None], self.portions())

    def lacking_c(self, date: str) -> tuple[float, float]:
        """What buds and wood lack of full hardness on a date, C."""
        buds, wood = self.course().lacking_c[season_day(date, self.south) - FIRST_DAY, :, 0]
        return float(buds), float(wood)

    def lost_c(self, date: str) -> tuple[float, float]:
        """What warmth has taken from buds and wood, or withheld, on a date, C."""
        buds, wood = self.course().lost_c[season_day(date, self.south) - FIRST_DAY, :, 0]
        return float(buds), float(wood)
