"""All diseases at one site: from its years to the infection weather of each."""

import numpy as np

from domain.common.map_regions import canker_presence, fire_blight_established, junipers_native
from domain.common.season_days import SEASON_DAYS, YEAR_DAYS
from domain.hazards.fire_blight import fire_blight_weather
from domain.hazards.fruit_diseases import bitter_rot_weather, black_rot_weather, sooty_blotch_weather
from domain.hazards.infection_weather import InfectionWeather, Orchard
from domain.hazards.leaf_diseases import canker_weather, mildew_weather, rust_weather
from domain.hazards.scab import scab_weather
from domain.site_climate.site_years import SiteYears
from domain.tables.cultivars import DISEASES
from domain.tree_year.clock import SiteClock
from domain.tree_year.tree_stages import tree_stages

FIRST_DAY = SEASON_DAYS - YEAR_DAYS
"""Season day from which health is counted: midwinter (the first days of January or of July), for one year."""

GROWING_SEASON_DAYS = 183.0


def orchard(years: SiteYears, clock: SiteClock) -> Orchard:
    """The years of a site as diseases meet them; without daily rain, its days share the rain days of the season."""
    weather = years.seasons.weather
    shape = weather.tmin_c[:, FIRST_DAY:].shape
    if weather.wet is None:
        share = min(years.rain_days_growing_season / GROWING_SEASON_DAYS, 1.0)
        wet = np.full(shape, share, dtype=np.float32)
    else:
        wet = weather.wet[:, FIRST_DAY:].astype(np.float32)
    mean = clock.mean_c[:, :YEAR_DAYS].mean(axis=0, dtype=np.float64)
    month = np.convolve(mean, np.ones(30) / 30.0, mode="valid")
    return Orchard(
        first_day=FIRST_DAY,
        tmin_c=weather.tmin_c[:, FIRST_DAY:],
        tmax_c=weather.tmax_c[:, FIRST_DAY:],
        wet=wet,
        stages=tree_stages(clock),
        winter_minimum_c=years.seasons.winter_minimum_c,
        winter_mean_c=float(month.min()),
        junipers=junipers_native(years.latitude, years.longitude),
        fire_blight=fire_blight_established(years.latitude, years.longitude),
        canker=canker_presence(years.latitude, years.longitude),
    )


def disease_weather(years: Orchard) -> dict[str, InfectionWeather]:
    """Infection weather by disease, in the order of `DISEASES`."""
    found = (
        scab_weather(years),
        fire_blight_weather(years),
        mildew_weather(years),
        rust_weather(years),
        canker_weather(years),
        black_rot_weather(years),
        *bitter_rot_weather(years),
        sooty_blotch_weather(years),
    )
    by_disease = {weather.disease: weather for weather in found}
    return {disease: by_disease[disease] for disease in DISEASES}
