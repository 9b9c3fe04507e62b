"""What is asked of the caller first is what would change the choice most, by trying, and never what was told."""

from typing import Any

import msgspec
import numpy as np
import pytest

from domain.orchard_site.conditions import on_ground, site_conditions
from domain.site_climate.site import Ground, LastSpringFrost, Site, Slope, WinterChill
from domain.site_climate.site_years import site_years
from domain.suitability.site_fit import site_fit
from domain.suitability.suitability_request import Weights
from domain.suitability.worth_finding_out import value_of_knowing, worth_finding_out
from tests.shared import catalogue
from tests.shared import conditions as at

HIGH_VALLEY = Site(latitude=43.6, longitude=-116.2, elevation_m=830)
SUBTROPICS = Site(latitude=29.8, longitude=-95.4, elevation_m=20)
COLD_LAKE = Site(latitude=46.8, longitude=-92.1, elevation_m=350)


@pytest.mark.parametrize(
    ("site", "first"),
    [
        (HIGH_VALLEY, "find_out_last_spring_frost"),
        (SUBTROPICS, "find_out_winter_chill"),
        (COLD_LAKE, "find_out_winter_minimum"),
    ],
    ids=["high valley", "subtropics", "cold lake"],
)
def test_the_figure_that_decides_there_is_asked_among_the_first_two(site: Site, first: str) -> None:
    asked = worth_finding_out(site, at(site), catalogue().advised)
    assert first in [one.code for one in asked[:2]]
    assert asked[-1].code in ("find_out_ground", "find_out_ground_and_more")
    assert asked[-1].words.startswith("Drainage")


def codes(site: Site) -> set[str]:
    return {sentence.code for sentence in worth_finding_out(site, at(site), catalogue().advised)}


def test_what_is_told_is_not_asked() -> None:
    frost = LastSpringFrost(threshold_c=0, median="04-30", later_one_year_in_ten="05-17")
    told = msgspec.structs.replace(HIGH_VALLEY, last_spring_frost=frost)
    assert "find_out_last_spring_frost" not in codes(told)
    chill = WinterChill(measure="hours_below_7_2c", mean=450)
    told = msgspec.structs.replace(SUBTROPICS, winter_chill=chill)
    assert "find_out_winter_chill" not in codes(told)


def test_a_figure_that_moves_no_choice_is_worth_nothing() -> None:
    fit = site_fit(at(SUBTROPICS), catalogue().advised)
    worth = value_of_knowing(at(SUBTROPICS), catalogue().advised, fit, Weights())
    assert worth["winter_minimum"] < worth["winter_chill"]
    assert all(value >= -1e-6 for value in worth.values())
    nothing = Weights(crop=0, sound_fruit=0, quality=0, tree_survival=0, proven_in_like_climates=0)
    assert set(value_of_knowing(at(SUBTROPICS), catalogue().advised, fit, nothing).values()) == {0.0}


def test_the_value_of_knowing_is_worked_out_once_for_a_site_and_weights(monkeypatch: pytest.MonkeyPatch) -> None:
    here, traits = HIGH_VALLEY, catalogue().advised
    conditions = site_conditions(site_years(here))
    asked: list[Weights] = []

    def counted(*given: Any) -> dict[str, float]:
        asked.append(given[3])
        return value_of_knowing(*given)

    monkeypatch.setattr("domain.suitability.worth_finding_out.value_of_knowing", counted)
    usual, other = Weights(), Weights(crop=0.5)
    first = [worth_finding_out(here, conditions, traits, weights) for weights in (usual, other, usual, None)]
    assert asked == [usual, other]
    assert first[0] == first[2] == first[3]
    some = np.arange(len(traits.cultivars)) < 9
    worth_finding_out(here, conditions, traits, usual, some)
    assert asked == [usual, other, usual]


def of_ground(site: Site, ground: Ground | None = None) -> tuple[str, ...]:
    """What else of the ground is asked for, beside what matters anywhere."""
    told = msgspec.structs.replace(site, ground=ground)
    asked = worth_finding_out(told, on_ground(at(site), ground), catalogue().advised)[-1].values.get("missing", ())
    assert isinstance(asked, tuple)
    return tuple(one for one in asked if one not in ("drainage", "ph", "sun_hours"))


def test_water_is_asked_for_where_rain_alone_carries_no_tree() -> None:
    assert {"irrigated", "texture", "soil_depth_m"} <= set(of_ground(HIGH_VALLEY))
    assert "irrigated" not in of_ground(SUBTROPICS)
    assert not {"irrigated", "texture"} & set(of_ground(HIGH_VALLEY, Ground(irrigated=True)))
    assert "texture" in of_ground(HIGH_VALLEY, Ground(irrigated=False))


def test_the_slope_is_asked_for_where_a_degree_decides() -> None:
    assert "slope" in of_ground(SUBTROPICS)
    assert "slope" not in of_ground(SUBTROPICS, Ground(slope=Slope(steepness_deg=3.0, faces_deg=0.0)))
    assert "slope" not in of_ground(SUBTROPICS, Ground(lie="frost_pocket"))


def test_shelter_and_salt_are_asked_for_where_they_count() -> None:
    cold_coast = Site(latitude=60.2, longitude=-1.2, elevation_m=20)
    assert "wind" in of_ground(cold_coast)
    assert "wind" not in of_ground(SUBTROPICS)
    assert "salt_spray" in of_ground(cold_coast, Ground(wind="exposed"))
    assert "salt_spray" not in of_ground(cold_coast, Ground(wind="sheltered"))
