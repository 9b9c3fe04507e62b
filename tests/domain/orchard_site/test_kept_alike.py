"""What is kept with the years is what would be worked out anew on that ground and with those dates."""

from typing import Any

import msgspec
import pytest

from domain.orchard_site.conditions import SiteConditions, on_ground, site_conditions
from domain.orchard_site.observed_dates import with_observed_dates
from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from domain.suitability.assess import assess
from tests.shared import catalogue

PLACE: dict[str, Any] = {"latitude": 42.9, "longitude": -77.0}
SEEN: dict[str, Any] = {"observed_dates": [{"cultivar": "Gala", "event": "full_bloom", "date": "2021-05-20"}]}
OTHERS: dict[str, dict[str, Any]] = {
    "shade": {"ground": {"sun_hours": 4}},
    "wind and salt": {"ground": {"wind": "exposed", "salt_spray": True}},
    "wet and limy": {"ground": {"drainage": "poor", "ph": 8.3, "old_orchard": True}},
    "dates": SEEN,
    "dates and shelter": SEEN | {"ground": {"wind": "sheltered", "sun_hours": 5}},
}


def laid_on(years: SiteConditions, site: Site) -> SiteConditions:
    return on_ground(with_observed_dates(years, site, catalogue()), site.ground)


@pytest.mark.parametrize("other", OTHERS)
def test_a_known_site_with_something_else_told_is_judged_as_a_new_one(other: str) -> None:
    traits, site = catalogue().advised, msgspec.convert(PLACE | OTHERS[other], Site)
    bare = site_years(msgspec.convert(PLACE, Site))
    known = site_conditions(bare)
    usual = assess(known, traits)
    told = assess(laid_on(known, site), traits)
    assert told != usual
    assert told == assess(laid_on(site_conditions(bare), site), traits)
    assert assess(known, traits) is usual
