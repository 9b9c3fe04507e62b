"""All that a site holds for every cultivar alike, worked out once a site: clocks, frost, winters, disease, insects."""

from dataclasses import dataclass

import numpy as np

from domain.climate.site_years import SiteYears
from domain.health.insects import FruitInsect, fire_blight_established, fruit_insects, junipers_native
from domain.health.pressure import SummerWeather, disease_pressure
from domain.phenology.bloom import full_bloom
from domain.phenology.calibration import Shifts
from domain.phenology.curves import UNREACHED, Floats
from domain.phenology.site_clock import SiteClock, site_clock
from domain.season_calendar import YEAR_DAYS
from domain.suitability.frost_at_bloom import bloom_kept, worthwhile_chance
from domain.suitability.winter_cold import winter_minimum

VERY_HOT_C = 35.0


@dataclass(frozen=True)
class Observed:
    """What dates seen at the site move: bloom, and first ripe fruit beyond what its bloom moves it."""

    bloom: Shifts
    ripe: Shifts


@dataclass(frozen=True, eq=False)
class SiteConditions:
    """The site's years and what follows from them.

    frost_chance: chance that frost leaves a worthwhile crop, by season and day of full bloom. winter_minimum_c:
    (seasons,). mean_by_day_c: (days,) mean temperature of each season day over all seasons. very_hot_days: a year.
    """

    years: SiteYears
    clock: SiteClock
    frost_chance: Floats
    winter_minimum_c: Floats
    mean_by_day_c: Floats
    very_hot_days: float
    degree_days_10c: float
    pressure: dict[str, float]
    insects: tuple[FruitInsect, ...]
    summer: SummerWeather
    observed: Observed | None = None


def site_conditions(years: SiteYears) -> SiteConditions:
    """Work out a site's conditions from its years."""
    clock = site_clock(years.seasons)
    weather = years.seasons.weather
    mean_by_day = clock.mean_c.mean(axis=0)
    summer = _summer_weather(years, clock, mean_by_day)
    one_year = slice(180, 180 + YEAR_DAYS)
    degree_days = float(np.maximum(clock.mean_c[:, one_year] - 10.0, 0.0).sum(axis=1).mean())
    return SiteConditions(
        years=years,
        clock=clock,
        frost_chance=worthwhile_chance(bloom_kept(clock)),
        winter_minimum_c=winter_minimum(weather.tmin_c),
        mean_by_day_c=mean_by_day.astype(np.float32),
        very_hot_days=float((weather.tmax_c[:, one_year] > VERY_HOT_C).sum(axis=1).mean()),
        degree_days_10c=degree_days,
        pressure=disease_pressure(summer),
        insects=fruit_insects(degree_days, summer.winter_mean_c, years.latitude, years.longitude),
        summer=summer,
    )


def _summer_weather(years: SiteYears, clock: SiteClock, mean_by_day: Floats) -> SummerWeather:
    weather = years.seasons.weather
    day, _ = full_bloom(clock, np.array([45.0], dtype=np.float32), np.array([0.0], dtype=np.float32))
    reached = day[day < UNREACHED]
    bloom = int(np.median(reached)) if reached.size else 300
    spring = slice(bloom - 30, bloom + 42)
    around = slice(bloom - 10, bloom + 11)
    month = np.convolve(mean_by_day[:YEAR_DAYS], np.ones(30) / 30.0, mode="valid")
    quarter = np.convolve(mean_by_day[150:530], np.ones(91) / 91.0, mode="valid")
    warmest = 150 + int(np.argmax(quarter))
    wet = weather.wet
    if wet is None:
        share = years.rain_days_growing_season / 183.0
        wet_spring = wet_summer = share
    else:
        wet_spring = float(wet[:, spring].mean())
        wet_summer = float(wet[:, warmest : warmest + 91].mean())
    return SummerWeather(
        spring_c=float(mean_by_day[spring].mean()),
        summer_c=float(quarter.max()),
        bloom_tmax_c=float(weather.tmax_c[:, around].mean()),
        wet_days_spring=wet_spring,
        wet_days_summer=wet_summer,
        winter_minimum_c=float(winter_minimum(weather.tmin_c).mean()),
        winter_mean_c=float(month.min()),
        junipers_native=junipers_native(years.latitude, years.longitude),
        fire_blight_established=fire_blight_established(years.latitude, years.longitude),
    )
