"""What rain and soil leave a tree that nobody waters: more of either never leaves it less."""

import itertools

import msgspec
import numpy as np
import pytest

from domain.hazards.soil_water import FIGURES, held_mm, reference_mm, thin_soil, unwatered_share
from domain.site_climate.site import Ground
from tests.shared import STANDARD_SITES, conditions, site, years

PLACES = list(STANDARD_SITES)


@pytest.mark.parametrize("place", PLACES)
def test_deeper_soil_and_one_that_holds_more_never_leave_less(place: str) -> None:
    years = conditions(STANDARD_SITES[place]).years
    by_depth = [unwatered_share(years, Ground(soil_depth_m=depth)) for depth in (0.1, 0.3, 0.6, 1.0, 1.5, 3.0)]
    told = [share for share in by_depth if share is not None]
    assert len(told) == len(by_depth)
    for less, more in itertools.pairwise(told):
        assert 0.0 < less <= more <= 1.0
    assert told[-2] == told[-1]  # deeper than roots go
    textures = [unwatered_share(years, Ground(texture=texture)) for texture in ("sandy", "loamy", "clayey")]
    assert textures == sorted(textures, key=lambda share: share or 0.0)


def test_dry_places_leave_less_than_damp_ones() -> None:
    dry, damp = (
        unwatered_share(conditions(STANDARD_SITES[place]).years, None) for place in ("dry and warm", "damp and mild")
    )
    assert dry is not None
    assert damp is not None
    assert dry < 0.7 < damp


DRY_SIDE = {"latitude": 41.6, "longitude": 0.6, "elevation_m": 170}


def share_of(**told: object) -> float:
    share = unwatered_share(years(site(**DRY_SIDE, **told)), None)
    assert share is not None
    return share


def test_more_rainy_days_told_leave_more_and_those_of_the_place_leave_the_same() -> None:
    untold = years(site(**DRY_SIDE))
    shares = [share_of(rain_days_in_growing_season=days) for days in (3, 20, 60, 90, 150)]
    assert shares == sorted(set(shares))
    assert shares[-1] - shares[0] > 0.5
    same = share_of(rain_days_in_growing_season=untold.rain_days_growing_season)
    assert same == pytest.approx(share_of(), abs=1e-6)
    half = years(site(**DRY_SIDE, rain_days_in_growing_season=untold.rain_days_growing_season / 2))
    assert half.rain_of_days_told == pytest.approx(0.5)


def test_rain_told_in_mm_is_not_reckoned_anew_from_rainy_days() -> None:
    normals = msgspec.to_builtins(years(site(**DRY_SIDE)).normals)
    told = [share_of(monthly_normals=normals, rain_days_in_growing_season=days) for days in (3, 60)]
    assert told[0] == told[1] == share_of(monthly_normals=normals)


def test_the_store_is_that_of_its_texture_and_depth() -> None:
    assert held_mm(None) == FIGURES.loamy_mm_per_m * FIGURES.usual_depth_m
    assert held_mm(Ground(texture="sandy", soil_depth_m=0.5)) == FIGURES.sandy_mm_per_m * 0.5
    assert held_mm(Ground(soil_depth_m=0.0)) == 0.0


def test_summers_ask_more_than_winters_on_both_sides_of_the_equator() -> None:
    for place, summer in (("damp and mild", 6), ("mild cape", 0)):
        years = conditions(STANDARD_SITES[place]).years
        asked = reference_mm(years.normals, years.latitude)
        assert asked.shape == (12,)
        assert int(np.argmax(asked)) in (summer - 1, summer, (summer - 1) % 12, summer + 1)


def test_thin_soil_is_shallow_or_unwatered_sand() -> None:
    assert not thin_soil(None)
    assert not thin_soil(Ground(texture="clayey", soil_depth_m=1.0))
    assert thin_soil(Ground(soil_depth_m=0.3))
    assert thin_soil(Ground(texture="sandy"))
    assert not thin_soil(Ground(texture="sandy", irrigated=True))
