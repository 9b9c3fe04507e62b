"""What a cultivar is worth beside one that suits the site: a verdict for the site, not for the caller's weights."""

import numpy as np

from domain.suitability.ranking import cautious, merit_shares
from domain.suitability.site_fit import site_fit
from tests.domain.suitability.made_up import apple, judged
from tests.shared import STANDARD_SITES, catalogue, conditions, site

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
