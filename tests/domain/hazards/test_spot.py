"""Light and soil of a spot as told: what each takes, by published limits, and what is said of it."""

import itertools

import numpy as np
import pytest

from domain.hazards.spot import OPEN, spot, spot_warnings
from domain.hazards.spot_light import FIGURES, enough_hours, light_share, sky_share
from domain.orchard_site.conditions import on_ground
from domain.site_climate.site import Ground, Slope
from domain.suitability.site_fit import site_fit
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_request import SuitabilityRequest
from tests.shared import STANDARD_SITES, catalogue, conditions

FIELDS: dict[str, Ground] = {
    "sun": Ground(sun_hours=4.0),
    "wet": Ground(drainage="poor"),
    "limy": Ground(ph=8.2),
    "sour": Ground(ph=4.0),
    "old orchard": Ground(old_orchard=True),
    "clay": Ground(texture="clayey"),
    "shallow": Ground(soil_depth_m=0.3),
    "sandy": Ground(texture="sandy"),
    "steep": Ground(slope=Slope(steepness_deg=20.0, faces_deg=180.0)),
    "exposed": Ground(wind="exposed"),
    "salt": Ground(salt_spray=True),
}


GOOD = Ground(
    drainage="good",
    ph=6.5,
    sun_hours=9.0,
    old_orchard=False,
    texture="loamy",
    soil_depth_m=1.2,
    wind="open",
    salt_spray=False,
    irrigated=True,
    slope=Slope(steepness_deg=5.0, faces_deg=90.0),
)


def test_light_is_judged_between_the_published_shares_of_full_sun() -> None:
    """Ferree and Heinicke: no flowers under 30 % of full sun, good colour from 30 to 50 %."""
    full = FIGURES.open_ground_h
    assert light_share(0.3 * full) == pytest.approx(0.0, abs=1e-9)
    assert light_share(0.5 * full) == pytest.approx(1.0)
    assert 0.0 < light_share(0.4 * full) < 1.0
    assert light_share(0.0) == 0.0
    assert light_share(24.0) == 1.0


def test_the_six_hours_that_extension_services_ask_still_crop_and_four_do_not() -> None:
    """North Dakota, Iowa and Clemson ask six hours at the least, eight for good crops."""
    assert spot(Ground(sun_hours=8.0)).crop_chance == 1.0
    assert spot(Ground(sun_hours=6.0)).crop_chance > 0.8
    assert spot(Ground(sun_hours=4.0)).crop_chance < 0.2


def test_less_sun_never_leaves_more() -> None:
    told = [spot(Ground(sun_hours=float(hours))) for hours in range(25)]
    for less, more in itertools.pairwise(told):
        assert less.crop_chance <= more.crop_chance
        assert less.quality <= more.quality
        assert less.powers.get("scab", 1.0) <= more.powers.get("scab", 1.0)


@pytest.mark.parametrize("ground", [None, Ground(), GOOD])
def test_good_ground_takes_nothing(ground: Ground | None) -> None:
    assert spot(ground) == OPEN
    assert spot_warnings(ground) == ()
    here = conditions(next(iter(STANDARD_SITES.values())))
    assert on_ground(here, ground) is here


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("sun", "spot_too_dark"),
        ("wet", "spot_wet"),
        ("limy", "spot_limy"),
        ("sour", "spot_sour"),
        ("old orchard", "spot_old_orchard"),
        ("clay", "spot_clay"),
        ("shallow", "spot_shallow"),
        ("sandy", "spot_sandy"),
        ("steep", "spot_steep"),
        ("exposed", "spot_exposed"),
        ("salt", "spot_salt"),
    ],
)
def test_every_field_is_told_with_its_figure(name: str, code: str) -> None:
    (told,) = spot_warnings(FIELDS[name])
    assert told.code == code
    assert [one.code for one in spot_warnings(Ground(drainage="moderate"))] == ["spot_drains_slowly"]
    assert [one.code for one in spot_warnings(Ground(lie="slope"))] == ["spot_slope_not_reckoned"]


def test_a_place_too_dark_for_any_apple_is_not_said_to_suit_some() -> None:
    told = {hours: spot_warnings(Ground(sun_hours=hours)) for hours in (3.0, 5.5)}
    assert [one.code for one in told[3.0]] == ["spot_too_dark"]
    assert [one.code for one in told[5.5]] == ["spot_short_of_sun"]


@pytest.mark.parametrize("place", list(STANDARD_SITES))
def test_shade_and_wet_ground_lower_what_they_touch_for_every_cultivar(place: str) -> None:
    here = conditions(STANDARD_SITES[place])
    traits = catalogue().advised
    open_ground = site_fit(here, traits)
    shaded, wet = (site_fit(on_ground(here, FIELDS[name]), traits) for name in ("sun", "wet"))
    bears = open_ground.outcomes["crop"].likely > 0.05
    assert bears.any()
    assert (shaded.outcomes["crop"].likely[bears] < open_ground.outcomes["crop"].likely[bears]).all()
    assert (shaded.outcomes["quality"].likely < open_ground.outcomes["quality"].likely).all()
    assert (shaded.outcomes["sound_fruit"].likely <= open_ground.outcomes["sound_fruit"].likely + 1e-6).all()
    assert (wet.outcomes["tree_survival"].likely < open_ground.outcomes["tree_survival"].likely).all()
    assert np.array_equal(wet.outcomes["quality"].likely, open_ground.outcomes["quality"].likely)
    assert [factor.code for factor in shaded.factors].count("sunlight") == 1
    assert "sunlight" not in [factor.code for factor in open_ground.factors]


def test_what_limits_in_deep_shade_is_the_sun() -> None:
    place = STANDARD_SITES[next(iter(STANDARD_SITES))]
    here = on_ground(conditions(place), Ground(sun_hours=2.0))
    told = suitabilities(SuitabilityRequest(site=place), catalogue(), here).suitabilities
    assert {one.verdict for one in told} <= {"not_here", "not_known"}
    assert sum(one.limiting == "sunlight" for one in told) > 0.9 * len(told)
    said = {factor.words for one in told for factor in one.factors if factor.factor in ("sunlight", "fruit_quality")}
    assert any("sun" in words for words in said)


def test_the_same_ground_is_worked_out_once() -> None:
    here = conditions(next(iter(STANDARD_SITES.values())))
    assert on_ground(here, FIELDS["wet"]) is on_ground(here, Ground(drainage="poor"))
    assert on_ground(here, FIELDS["wet"]) is not on_ground(here, FIELDS["sun"])


@pytest.mark.parametrize("place", ["damp and mild", "mild cape"])
def test_salt_lime_shallow_and_old_ground_take_a_part_of_every_crop(place: str) -> None:
    here = conditions(STANDARD_SITES[place])
    traits = catalogue().advised
    before = site_fit(here, traits)
    for name, cause in (
        ("salt", "salt_spray"),
        ("limy", "limy_soil"),
        ("shallow", "shallow_soil"),
        ("old orchard", "old_orchard"),
    ):
        at = on_ground(here, FIELDS[name])
        left = at.spot.ground_crop_chance
        assert list(at.spot.crop_shares) == [cause]
        assert 0.0 < left < 1.0
        after = site_fit(at, traits)
        told = [factor for factor in after.factors if factor.code == "ground"]
        assert len(told) == 1
        assert told[0].sentence(told[0], 0).code == f"ground_{cause}"
        assert after.outcomes["crop"].likely == pytest.approx(left * before.outcomes["crop"].likely, abs=2e-3)


def test_salt_takes_less_behind_shelter_and_more_where_gales_strike() -> None:
    sheltered, untold, open_ground, exposed = (
        spot(Ground(salt_spray=True, wind=wind)).ground_crop_chance for wind in ("sheltered", None, "open", "exposed")
    )
    assert sheltered > open_ground == untold > exposed
    assert exposed < 0.3  # no grower plants there before there is shelter


def test_shelter_helps_bees_and_gales_hinder_them() -> None:
    here = conditions(STANDARD_SITES["cool and rainy"])
    sheltered, exposed = (on_ground(here, Ground(wind=wind)).set_chance for wind in ("sheltered", "exposed"))
    assert (exposed <= here.set_chance).all()
    assert (here.set_chance <= sheltered).all()
    assert exposed.sum() < here.set_chance.sum() < sheltered.sum()


def test_dry_soil_counts_where_nobody_waters_and_rain_is_short() -> None:
    dry, damp = conditions(STANDARD_SITES["dry and warm"]), conditions(STANDARD_SITES["damp and mild"])
    sand = Ground(texture="sandy", soil_depth_m=0.5, irrigated=False)
    assert on_ground(dry, sand).spot.ground_crop_chance < 0.3
    loam = Ground(texture="loamy", soil_depth_m=1.2, irrigated=False)
    assert on_ground(damp, loam).spot.ground_crop_chance > 0.9
    assert on_ground(damp, loam).spot.ground_crop_chance > on_ground(damp, sand).spot.ground_crop_chance > 0.5
    assert on_ground(dry, Ground(texture="sandy", soil_depth_m=0.5)).spot == OPEN
    assert "spot_dry" in [one.code for one in spot_warnings(sand, dry.years)]
    unsaid = Ground(texture="sandy", soil_depth_m=0.5)
    assert "spot_dry_unless_watered" in [one.code for one in spot_warnings(unsaid, dry.years)]


def test_several_troubles_of_the_ground_are_told_together() -> None:
    at = on_ground(conditions(STANDARD_SITES["damp and mild"]), Ground(ph=8.0, soil_depth_m=0.4))
    (factor,) = [one for one in site_fit(at, catalogue().advised).factors if one.code == "ground"]
    told = factor.sentence(factor, 0)
    assert told.code == "ground_several"
    assert told.values["causes"] == ("limy_soil", "shallow_soil")
    assert "lime" in told.words


def test_shade_takes_less_under_a_cloudy_sky_and_enough_is_enough_everywhere() -> None:
    cloudy, sunny = (sky_share(conditions(STANDARD_SITES[place]).years) for place in ("cool and rainy", "dry and warm"))
    assert 0.15 < sunny < cloudy < 0.8
    assert light_share(4.0, cloudy) > light_share(4.0, sunny) > light_share(4.0)
    for sky in (0.0, sunny, cloudy):
        assert light_share(enough_hours(), sky) == pytest.approx(1.0)
        assert light_share(0.0, sky) == 0.0


def test_a_shallow_soil_that_is_dry_for_it_counts_once() -> None:
    dry = conditions(STANDARD_SITES["dry and warm"])
    for depth in (0.1, 0.3, 0.45):
        at = on_ground(dry, Ground(soil_depth_m=depth, irrigated=False)).spot
        watered = on_ground(dry, Ground(soil_depth_m=depth, irrigated=True)).spot
        assert len(at.crop_shares) == 1
        assert at.ground_crop_chance <= watered.ground_crop_chance
