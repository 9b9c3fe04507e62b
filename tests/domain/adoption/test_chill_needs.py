"""Conversion of published chill requirements, and what limits and priors do."""

import pytest

from domain.adoption import adaptation, chill_needs
from domain.adoption.chill_regimes import regime_name, regimes
from domain.adoption.weighing import Bound, Reading
from domain.site_climate.site import Site
from tests import shared
from tests.domain.adoption.made_up import observed


def reading(published: str, **fields: object) -> Reading:
    sign = chill_needs.signs(observed("x", "chill_requirement", published, **fields))
    assert isinstance(sign, Reading)
    return sign


def test_the_first_place_that_a_text_names_gives_its_regime() -> None:
    assert regime_name("Highlands County, central Florida") == "central florida"
    assert regime_name("nowhere in particular") is None


@pytest.mark.parametrize(
    ("regime", "latitude", "longitude", "elevation_m"),
    [
        ("texas gulf", 29.6, -95.6, 25.0),
        ("north florida", 30.2, -83.7, 50.0),
        ("low countries", 50.8, 5.2, 60.0),
    ],
)
def test_the_regimes_have_the_chill_that_sites_there_are_given(
    regime: str, latitude: float, longitude: float, elevation_m: float
) -> None:
    # both sides of the comparison must count the same portions: needs here, winters in domain.weather
    site = Site(latitude=latitude, longitude=longitude, elevation_m=elevation_m)
    portions = shared.years(site).seasons.chill_portions_by_day[:, -1].mean()
    assert portions == pytest.approx(regimes()[regime].portions, abs=regimes()[regime].deviation)


def test_hours_of_a_mild_place_are_worth_more_than_those_of_a_colder_one() -> None:
    mild = reading("400", numbers=400, unit="h<7.2C", note="Parana, Brazil")
    warm_inland = reading("400", numbers=400, unit="h<7.2C", note="extension table; Texas Gulf")
    cold = reading("400", numbers=400, unit="h<7.2C", note="upper two thirds of Georgia")
    assert mild.value > warm_inland.value > cold.value
    # What growers are told to have is full satisfaction; half a crop takes a part of it.
    assert warm_inland.value == pytest.approx(chill_needs.FIGURES.of_full_need * 400 / 13.5)
    assert {mild.kind, warm_inland.kind, cold.kind} == {"place"}


def test_hours_of_no_place_count_for_a_part_and_are_unsure() -> None:
    handed_on = reading("800", numbers=800, unit="h<7.2C", scheme="chill hours")
    assert handed_on.kind == "no place"
    assert 25.0 < handed_on.value < 40.0
    assert handed_on.error > 9.0


def test_a_figure_handed_on_is_not_taken_for_one_of_the_place_of_the_text() -> None:
    told = reading(
        "800", numbers=800, unit="h<7.2C", scheme="institute statement, not how measured", note="Santa Catarina"
    )
    assert told.kind == "no place"


def test_full_satisfaction_is_more_than_half_a_crop_takes() -> None:
    forced = reading("60", numbers=60, unit="CP", scheme="Dynamic model", note="bud forcing, Asturias")
    fitted = reading("60", numbers=60, unit="CP", scheme="Dynamic model, sequential with GDH", note="Belgium")
    table = reading("60", numbers=60, unit="CP", scheme="Dynamic model", note="extension table")
    assert forced.value == fitted.value == 45.0
    assert table.value == 60.0
    assert fitted.error > forced.error > table.error


def test_an_open_requirement_is_a_limit() -> None:
    sign = chill_needs.signs(
        observed("x", "chill_requirement", "<365", high=365.0, unit="h<7.2C", scheme="hours at constant 3 C")
    )
    assert isinstance(sign, Bound)
    assert sign.upper
    assert sign.at == pytest.approx(10.0)


def test_cropping_limits_from_above_and_failing_from_below() -> None:
    crops = chill_needs.signs(observed("x", "low_chill_adapted", "yes", note="Texas Gulf, Harris County"))
    fails = chill_needs.signs(observed("x", "chill_class", "unsuitable", note="north Florida: chill not met"))
    assert isinstance(crops, Bound)
    assert isinstance(fails, Bound)
    assert crops.upper
    assert not fails.upper


def test_a_tropical_crop_by_defoliation_says_nothing_of_chill() -> None:
    assert chill_needs.signs(observed("x", "low_chill_adapted", "yes", note="East Java, by defoliation")) is None


def test_every_cultivar_gets_a_need_and_only_evidence_makes_it_more_than_imputed() -> None:
    groups = {"known": "temperate", "silent": "cold_continental", "nowhere": "unknown"}
    adopted = chill_needs.adopt([observed("known", "chill_class", "low", source_id="b")], groups)
    assert {key[0] for key in adopted} == set(groups)
    assert adopted["known", "chill_portions"].basis == "computed"
    assert adopted["known", "chill_portions"].value < 40.0
    assert adopted["silent", "chill_portions"].basis == "imputed"
    assert adopted["silent", "chill_portions"].value == adaptation.GROUPS["cold_continental"].chill_portions[0]


def test_one_source_speaks_once() -> None:
    figure = observed("x", "chill_requirement", "400", numbers=400, unit="h<7.2C", note="Texas Gulf")
    word = observed("x", "low_chill_adapted", "yes", note="Texas Gulf")
    alone = chill_needs.adopt([figure], {"x": "temperate"})
    both = chill_needs.adopt([figure, word], {"x": "temperate"})
    assert both == alone
    other = observed("x", "low_chill_adapted", "yes", note="Texas Gulf", source_id="another")
    assert chill_needs.adopt([figure, other], {"x": "temperate"}) != alone


@pytest.mark.parametrize(
    ("place", "group"),
    [
        ("Indiana, United States", "american"),
        ("India", "subtropical"),
        ("Kentville, Nova Scotia", "cold_temperate"),
        ("Kentucky, United States", "warm_temperate"),
        ("Kent, England", "maritime"),
        ("Minnesota, United States", "cold_continental"),
        ("Israel", "subtropical"),
        ("Former Soviet Union", "former_soviet_union"),
        ("New Zealand", "mild_oceanic"),
    ],
)
def test_groups_are_read_by_whole_words(place: str, group: str) -> None:
    assert adaptation.group_of_place(place) == group


def test_the_narrowest_place_decides() -> None:
    origins = [
        observed("x", "origin_place", "United States"),
        observed("x", "origin_place", "Minnesota, United States", source_id="from-memory"),
    ]
    found = adaptation.adopt(origins, ["x", "y"])
    assert found["x", "adaptation"].value == "cold_continental"
    assert found["x", "adaptation"].basis == "from-memory"
    assert adaptation.groups(found, ["x", "y"]) == {"x": "cold_continental", "y": "unknown"}
