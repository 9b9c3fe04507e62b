"""All diseases at one site: from its years to the infection weather of each."""

import numpy as np

from domain.common.season_days import SEASON_DAYS, YEAR_DAYS
from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.regions import share_at
from domain.hazards.infection_models import DISEASE_FIGURES, infection
from domain.hazards.infection_weather import InfectionWeather, Orchard
from domain.site_climate.site_years import SiteYears
from domain.tree_year.clock import SiteClock
from domain.tree_year.stages import middling_tree

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
        stages=middling_tree(clock),
        winter_minimum_c=years.seasons.winter_minimum_c,
        winter_mean_c=float(month.min()),
        present={name: share_at(one, years.latitude, years.longitude) for name, one in DISEASE_BY_ID.items()},
    )


def disease_weather(years: Orchard) -> dict[str, InfectionWeather]:
    """Infection weather by disease, in the order of the table of diseases."""
    found = {}
    for name, disease in DISEASE_BY_ID.items():
        seen = infection(disease, years)
        found[name] = InfectionWeather(
            disease=name,
            measure=disease.measure,
            by_year=seen.by_year,
            half_pressure=DISEASE_FIGURES[name].half_pressure,
            chance_present=seen.climate_share * years.present[name],
        )
    return found
