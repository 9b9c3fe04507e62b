"""What is kept of a site for other ground and other dates answers as if nothing were kept."""

from dataclasses import replace
from typing import Any

import msgspec
import numpy as np
import pytest

from domain.common.kept import Kept
from domain.orchard_site.conditions import SiteConditions, on_ground, site_conditions
from domain.orchard_site.observed_dates import with_observed_dates
from domain.site_climate.site import Site
from domain.site_climate.site_years import found_climate, what_makes_the_climate, what_makes_the_years, years_of
from domain.suitability.assess import assess
from domain.suitability.crop_factors import crop_factors
from domain.suitability.doubts import unknown_years
from domain.suitability.site_fit import site_fit
from domain.suitability.spot_factors import spot_factors
from tests.shared import catalogue, site

PLACES: tuple[dict[str, Any], ...] = (
    {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40},
    {"latitude": 31.1, "longitude": 77.2, "elevation_m": 2000},
)
OTHER: tuple[dict[str, Any], ...] = (
    {"ground": {"sun_hours": 3.5}},
    {"ground": {"sun_hours": 4.5, "ph": 8.1, "drainage": "poor", "salt_spray": True}},
    {"ground": {"wind": "exposed", "old_orchard": True}},
    {"observed_dates": [{"cultivar": "Discovery", "event": "full_bloom", "date": "2021-05-14"}]},
    {"observed_dates": [{"cultivar": "Discovery", "event": "first_ripe", "date": "2022-08-30"}]},
    {"ground": {"sun_hours": 5.0}},
    {},
)


def laid_on(bare: SiteConditions, asked: Site) -> SiteConditions:
    """The conditions with dates and ground of a site laid on those of its years, as the service does."""
    years = what_makes_the_years(asked)
    return on_ground(with_observed_dates(bare, years, catalogue()), asked.ground)


def undated(asked: Site) -> SiteConditions:
    bare = msgspec.structs.replace(what_makes_the_years(asked), observed_dates=())
    return site_conditions(years_of(found_climate(what_makes_the_climate(bare)), bare))


@pytest.mark.parametrize("place", PLACES)
def test_asked_after_other_ground_and_dates_it_is_as_if_asked_first(place: dict[str, Any]) -> None:
    traits = catalogue().advised
    known = undated(site(**place))
    for other in OTHER:
        asked = site(**place, **other)
        after = assess(laid_on(known, asked), traits)
        alone = assess(laid_on(replace(known, kept_alike=Kept()), asked), traits)
        # What is said is equal to the byte; the fields are compared first, so that a fault names its cultivar.
        for one, same in zip(after, alone, strict=True):
            assert one == same, (one.cultivar, other)
        assert msgspec.json.encode(after) == msgspec.json.encode(alone)


@pytest.mark.parametrize("ground", [{"sun_hours": 4.0}, {"ph": 8.0, "salt_spray": True, "sun_hours": 5.0}])
def test_light_and_soil_take_of_the_crop_as_of_each_year(ground: dict[str, Any]) -> None:
    """Laid on the crop of open ground, or reckoned with it year by year and doubt by doubt: it comes to the same."""
    traits, asked = catalogue().advised, site(**PLACES[0], ground=ground)
    here = on_ground(undated(asked), asked.ground)
    fit = site_fit(here, traits)
    crop = crop_factors(here, traits)
    factors = (*crop.factors, *spot_factors(here.spot, len(traits.cultivars), fit.crop_chance.shape[1]))
    chance = np.prod([factor.by_season for factor in factors if factor.by_season is not None], axis=0)
    base = chance.mean(axis=1)
    unknown = unknown_years(base, chance, crop.doubts)
    assert base.max() < 0.95, "the ground takes something"
    told = fit.outcomes["crop"]
    np.testing.assert_allclose(fit.crop_chance, chance, atol=1e-6)
    np.testing.assert_allclose(told.likely, base * fit.alive, atol=1e-6)
    np.testing.assert_allclose(told.low, np.clip(base - unknown.loss(), 0, 1) * fit.alive, atol=1e-6)
    np.testing.assert_allclose(told.high, np.clip(base + unknown.gain(), 0, 1) * fit.alive, atol=1e-6)
    np.testing.assert_allclose(fit.own_range, 10.0 * unknown.own_range * fit.alive, atol=1e-5)
