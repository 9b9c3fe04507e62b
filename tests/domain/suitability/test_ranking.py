"""What the order and the ranges of an answer must hold, whatever the tables say."""

from functools import cache
from statistics import mean

import msgspec
import pytest

from domain.site_climate.site import LastSpringFrost, Site
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_answer import Suitability
from domain.suitability.suitability_request import SuitabilityRequest
from tests.shared import catalogue, conditions


@cache
def judged(site: Site) -> tuple[Suitability, ...]:
    return suitabilities(SuitabilityRequest(site=site), catalogue(), conditions(site)).suitabilities


def ripening_known(suitability: Suitability) -> bool:
    """A cultivar whose only words on ripening say nothing is known nowhere."""
    return "ripening_offset_days" in catalogue().tables.by_id[suitability.id].numbers


def chill_need(suitability: Suitability) -> float:
    return catalogue().tables.by_id[suitability.id].numbers["chill_portions"].value


def test_where_nothing_crops_the_least_chill_hungry_lead() -> None:
    """Near the equator at sea level no apple gets its chill; a cultivar of low need still comes nearest."""
    order = [s for s in judged(Site(latitude=1.35, longitude=103.8, elevation_m=20)) if ripening_known(s)]
    assert all(s.verdict == "not_here" for s in order)
    assert mean(chill_need(s) for s in order[:8]) < mean(chill_need(s) for s in order)


def test_a_frost_date_told_narrows_the_range() -> None:
    place = Site(latitude=46.6, longitude=-120.5, elevation_m=325)
    told = LastSpringFrost(threshold_c=0, median="04-28", later_one_year_in_ten="05-12")

    def width(site: Site) -> float:
        return mean(
            s.cropping_years_in_ten.high - s.cropping_years_in_ten.low
            for s in judged(site)
            if s.cropping_years_in_ten is not None
        )

    assert width(msgspec.structs.replace(place, last_spring_frost=told)) < width(place)


def test_an_unknown_site_makes_no_cultivar_unknown() -> None:
    """The chill of a mild cape is known to sixteen portions only: the range says so, nearly all cultivars stay known.

    A few from the coldest countries, whose own need nobody measured, are not.
    """
    order = judged(Site(latitude=-33.9, longitude=18.9, elevation_m=120))
    known = [s.verdict != "not_known" for s in order if ripening_known(s)]
    assert mean(known) >= 0.99
    ranges = {s.id: s.cropping_years_in_ten for s in order}
    golden = ranges[catalogue().tables.names.resolve("Golden Delicious") or ""]
    assert golden is not None
    assert golden.high - golden.low >= 4


@pytest.mark.parametrize("name", ["Anna", "Dorsett Golden", "Golden Delicious"])
def test_low_likely_and_high_stand_in_order(name: str) -> None:
    order = judged(Site(latitude=-33.9, longitude=18.9, elevation_m=120))
    found = next(s.cropping_years_in_ten for s in order if s.cultivar == name)
    assert found is not None
    assert found.low <= found.likely <= found.high


def verdict_at(site: Site, name: str) -> Suitability:
    found = catalogue().tables.names.resolve(name)
    return next(s for s in judged(site) if s.id == found)


def test_a_fruit_that_goes_soft_in_heat_is_not_advised_there_for_that_reason() -> None:
    """Extension answers discourage Honeycrisp and McIntosh in Maryland and Georgia; Minnesota bred the one.

    Orchards about Maryland grow it all the same, which lifts it there by one class and no further.
    """
    maryland, georgia = Site(latitude=39.0, longitude=-77.0, elevation_m=60), Site(latitude=33.8, longitude=-84.4)
    found = verdict_at(georgia, "Honeycrisp")
    assert found.verdict in {"worth_trying", "not_here"}
    assert (found.limiting, found.quality_here) == ("fruit_quality", "poor")
    found = verdict_at(maryland, "Honeycrisp")
    assert found.verdict in {"worth_trying", "not_here"}
    assert found.limiting == "fruit_quality"
    assert verdict_at(Site(latitude=44.9, longitude=-93.2, elevation_m=260), "Honeycrisp").verdict == "plant"


def test_years_lost_to_bearing_every_other_year_do_not_forbid_planting() -> None:
    found = verdict_at(Site(latitude=34.0, longitude=-118.2, elevation_m=80), "Anna")
    assert found.verdict == "plant"
    assert found.cropping_years_in_ten is not None
    assert found.cropping_years_in_ten.likely <= 8
