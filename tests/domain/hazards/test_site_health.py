import dataclasses

import pytest

from domain.fruit.diseases import DISEASE_BY_ID, DISEASES
from domain.hazards.site_health import site_health
from domain.site_climate.site import Site
from domain.site_climate.site_years import SiteYears
from domain.tree_year.clock import site_clock
from tests.shared import years


def kent() -> SiteYears:
    return years(Site(latitude=51.2, longitude=0.6))


def rainless_record(years: SiteYears) -> SiteYears:
    """The same years with no rain told day by day, as temperature records have them."""
    weather = dataclasses.replace(years.seasons.weather, wet=None)
    return dataclasses.replace(years, seasons=dataclasses.replace(years.seasons, weather=weather))


def test_without_daily_rain_the_rain_days_of_the_season_stand_in() -> None:
    years, clock = kent(), site_clock(kent().seasons)
    daily, spread = site_health(years, clock), site_health(rainless_record(years), clock)
    assert set(spread.pressure) == set(DISEASES)
    assert spread.orchard.wet.mean() == pytest.approx(years.rain_days_growing_season / 183.0, rel=1e-3)
    # Mildew asks for dry days only, so it hardly knows the difference; scab misses the long spells of rain.
    assert spread.pressure["powdery_mildew"] == pytest.approx(daily.pressure["powdery_mildew"], abs=0.1)
    assert spread.pressure["scab"] == pytest.approx(daily.pressure["scab"], abs=0.3)


def test_a_place_unknown_keeps_what_the_weather_says() -> None:
    known, clock = kent(), site_clock(kent().seasons)
    unknown = site_health(dataclasses.replace(known, longitude=None), clock)
    assert [insect.insect for insect in unknown.insects] == ["codling_moth"]
    assert unknown.pressure["scab"] == site_health(known, clock).pressure["scab"]
    assert unknown.orchard.present["cedar_apple_rust"] == DISEASE_BY_ID["cedar_apple_rust"].place_unknown


def test_equal_years_give_equal_health() -> None:
    clock = site_clock(kent().seasons)
    assert site_health(kent(), clock).pressure == site_health(kent(), clock).pressure
