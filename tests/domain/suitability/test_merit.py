"""What a cultivar is worth beside one that suits the site: a verdict for the site, not for the caller's weights."""

import numpy as np
import pytest

from domain.suitability.ranking import cautious, merit_shares
from domain.suitability.site_fit import site_fit
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_request import SuitabilityRequest
from tests.domain.suitability.made_up import apple, judged
from tests.shared import STANDARD_SITES, catalogue, conditions, site, tables

HUMID, DRY = STANDARD_SITES["hot and humid"], STANDARD_SITES["dry and warm"]
RESISTANT, SUSCEPTIBLE = apple("Resistant", 0.1), apple("Susceptible", 0.95)


def test_what_disease_spoils_in_a_humid_summer_comes_after_what_resists_it() -> None:
    found = judged(HUMID, RESISTANT, SUSCEPTIBLE)
    assert found["Resistant"].verdict == "plant"
    assert (found["Susceptible"].verdict, found["Susceptible"].limiting) == ("worth_trying", "sound_fruit")


def test_a_dry_valley_keeps_its_susceptible_standards() -> None:
    found = judged(DRY, RESISTANT, SUSCEPTIBLE)
    assert {one.verdict for one in found.values()} == {"plant"}


def test_no_weight_of_the_caller_moves_a_verdict() -> None:
    usual = judged(HUMID, RESISTANT, SUSCEPTIBLE)
    for weights in ({"crop": 1.0}, {"sound_fruit": 1.0}, {"quality": 1.0, "proven_in_like_climates": 5.0}):
        weighed = judged(HUMID, RESISTANT, SUSCEPTIBLE, weights=weights)
        assert {name: one.verdict for name, one in weighed.items()} == {n: one.verdict for n, one in usual.items()}


def test_what_frost_takes_from_all_alike_lowers_none() -> None:
    """In a frosty valley the crop is measured by what a late-blooming cultivar keeps there."""
    fit = site_fit(conditions(site(latitude=40.8, longitude=-81.93, elevation_m=310)), catalogue().advised)
    assert fit.site_frost < 0.95
    kept = cautious(fit.outcomes["crop"])
    np.testing.assert_allclose(merit_shares(fit)["crop"], np.clip(kept / fit.site_frost, 1e-4, 1.0), rtol=1e-5)


@pytest.mark.parametrize(("portions", "verdicts"), [(13, ("plant", "not_here")), (7, ("worth_trying", "not_here"))])
def test_what_a_winter_without_chill_takes_from_all_alike_lowers_none(portions: int, verdicts: tuple[str, str]) -> None:
    """Who needs least is what a place with hardly a winter plants, while it crops in four years of ten."""
    barely = site(latitude=27.5, longitude=-81.4, winter_chill={"measure": "chill_portions", "mean": portions})
    least, middling = (
        apple(name, chill_portions=need, heat_tolerance=1.0, ripening_offset_days=-80)
        for name, need in (("Least", (10, 2)), ("Middling", (45, 3)))
    )
    found = judged(barely, least, middling)
    assert (found["Least"].verdict, found["Middling"].verdict) == verdicts


def test_what_heat_takes_from_all_alike_lowers_none() -> None:
    """Fruit as the best that stands the heat of a desert's summer is what can be had there."""
    desert = site(latitude=33.4, longitude=-112.0, elevation_m=340)
    stands = apple("Stands", chill_portions=(12, 2), heat_tolerance=0.8, ripening_offset_days=-30)
    found = judged(desert, stands)["Stands"]
    quality = next(one.share.likely for one in found.factors if one.factor == "fruit_quality")
    assert quality < 0.5
    assert found.verdict == "plant"


def test_what_is_only_supposed_to_stand_heat_is_no_plant_for_being_picked_in_the_hottest_weeks() -> None:
    """Fresno ripens good fruit in October: poor fruit of July is not what the place takes from all."""
    fresno = site(latitude=36.75, longitude=-119.8)
    judged_there = suitabilities(SuitabilityRequest(site=fresno), catalogue(), conditions(fresno)).suitabilities
    poor = [one for one in judged_there if one.quality_here == "poor" and one.verdict == "plant"]
    for one in poor:
        assert tables().by_id[one.id].numbers["heat_tolerance"].basis == "published", one.cultivar
    assert sum(one.verdict == "worth_trying" for one in judged_there if one.quality_here == "poor") >= 50


def test_where_winters_are_long_chill_asks_for_no_fewer_years() -> None:
    assert site_fit(conditions(STANDARD_SITES["damp and mild"]), catalogue().advised).site_chill > 0.99
