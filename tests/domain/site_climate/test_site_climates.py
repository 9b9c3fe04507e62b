"""The answer of a climate: what was given is called given, and the words fit the figures."""

from typing import Any

import msgspec
import numpy as np
import pytest

from domain.common.season_days import day_of_year
from domain.site_climate.climate_answer import SiteClimate, frost_free_days, site_climate
from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from tests import shared


def climate(**body: Any) -> SiteClimate:
    site = msgspec.convert(body, Site)
    return site_climate(site, shared.years(site))


def test_a_place() -> None:
    answer = climate(latitude=42.87, longitude=-77.0)
    assert answer.basis == "place"
    assert answer.winter_minimum.hardiness_zone in {"5b", "6a", "6b"}
    spring, autumn = answer.last_spring_frost, answer.first_autumn_frost
    assert spring.earlier_one_year_in_ten is not None
    assert spring.median is not None
    assert spring.later_one_year_in_ten is not None
    assert autumn.median is not None
    days = [day_of_year(d) for d in (spring.earlier_one_year_in_ten, spring.median, spring.later_one_year_in_ten)]
    assert days == sorted(days)
    assert answer.frost_free_days.mean == pytest.approx(day_of_year(autumn.median) - days[1], abs=15)
    hard = answer.last_hard_spring_frost.median
    assert hard is not None
    assert day_of_year(hard) < days[1]
    assert answer.winter_chill.dormant_season.chill_portions.mean > answer.winter_chill.chill_portions.mean
    assert answer.winter_chill.basis != "given"


def test_what_was_told_is_given() -> None:
    answer = climate(
        winter_chill={"measure": "chill_portions", "mean": 60, "counted_from": "10-01", "counted_to": "03-31"},
        last_spring_frost={"median": "03-10"},
        winter_minimum={"hardiness_zone": "8b"},
    )
    assert answer.winter_chill.basis == answer.last_spring_frost.basis == answer.winter_minimum.basis == "given"
    assert (answer.winter_chill.counted_from, answer.winter_chill.counted_to) == ("10-01", "03-31")
    assert answer.winter_chill.chill_portions.mean == pytest.approx(60, abs=8)
    assert answer.warmest_month.basis in {"derived", "assumed"}
    assert answer.winter_chill.chill_portions.tenth_percentile < answer.winter_chill.chill_portions.mean


def test_frost_free_place() -> None:
    answer = climate(latitude=1.35, longitude=103.8)
    assert answer.last_spring_frost.median is None
    assert answer.last_spring_frost.chance_of_frost_free_year == 1.0
    assert answer.frost_free_days.mean == 365
    assert "climate_frost_hardly_ever" in {sentence.code for sentence in answer.words}
    assert any("hardly differ" in sentence.words for sentence in answer.words)


def test_south() -> None:
    answer = climate(latitude=-42.9, longitude=147.2)
    assert answer.last_spring_frost.median is not None
    assert 7 <= int(answer.last_spring_frost.median[:2]) <= 11
    assert answer.winter_chill.counted_from == "05-01"


def test_the_answer_encodes_and_is_equal_for_equal_sites() -> None:
    site = Site(latitude=46.6, longitude=-120.5)
    afresh = site_climate(site, site_years(site))
    assert msgspec.json.encode(climate(latitude=46.6, longitude=-120.5)) == msgspec.json.encode(afresh)


def test_frost_free_days_are_at_most_a_year() -> None:
    years = shared.years(Site(latitude=60.0, longitude=25.0))
    days = frost_free_days(years.seasons.weather)
    assert np.all((days >= 0) & (days <= 365))


@pytest.mark.parametrize("pin", [(69.65, 18.95), (-54.8, -68.3), (4.6, -74.1), (52.1, -106.7), (31.1, 77.2)])
def test_every_pin_on_land_is_answered(pin: tuple[float, float]) -> None:
    answer = climate(latitude=pin[0], longitude=pin[1])
    assert len(answer.words) >= 5
    assert answer.unknown.chill_portions > 0
