"""What own judgement alone takes of a crop refuses no cultivar: salt and lime have no published figure."""

import pytest

from domain.hazards.spot import FIGURES, spot
from domain.orchard_site.conditions import SiteConditions, on_ground
from domain.planting_list.list_request import PlantingListsRequest, Space
from domain.planting_list.planting_lists import planting_lists
from domain.site_climate.site import Ground
from domain.suitability.site_fit import site_fit
from domain.suitability.verdicts import limiting_factors, verdicts
from domain.tables.parameters import parameters
from tests.shared import STANDARD_SITES, catalogue, conditions

GROUNDS = {
    "salt": Ground(salt_spray=True, wind="exposed"),
    "lime": Ground(ph=9.5),
    "salt and lime": Ground(salt_spray=True, wind="exposed", ph=9.5),
}


def place(name: str = "damp and mild") -> SiteConditions:
    return conditions(STANDARD_SITES[name])


@pytest.mark.parametrize("name", GROUNDS)
def test_what_judgement_alone_takes_refuses_no_cultivar(name: str) -> None:
    traits = catalogue().advised
    there, bees = site_fit(on_ground(place(), GROUNDS[name]), traits), place()
    if GROUNDS[name].wind is not None:
        bees = on_ground(bees, Ground(wind=GROUNDS[name].wind))
    before, after = verdicts(site_fit(bees, traits)), verdicts(there)
    assert before.count("plant") > 100
    pairs = list(zip(before, after, strict=True))
    assert not [pair for pair in pairs if pair[1] == "not_here" and pair[0] != "not_here"]
    assert there.judged_share < 0.8
    assert "not_here" not in [now for was, now in pairs if was == "plant"]


def test_gales_with_salt_leave_nothing_to_plant_but_something_to_try() -> None:
    there = site_fit(on_ground(place(), GROUNDS["salt"]), catalogue().advised)
    told = verdicts(there)
    assert told.count("plant") == 0
    assert told.count("worth_trying") > 100
    limiting = limiting_factors(there)
    assert {limiting[row] for row, verdict in enumerate(told) if verdict == "worth_trying"} == {"ground"}


def test_a_list_by_the_sea_is_worth_trying() -> None:
    """Nor is a list refused by it: what it bears is told, by the figure as it is."""
    site = STANDARD_SITES["damp and mild"]
    request = PlantingListsRequest(site=site, space=Space(tree_count=3), lists=1)
    (told,) = planting_lists(request, catalogue(), on_ground(place(), GROUNDS["salt"])).planting_lists
    assert told.verdict == "worth_trying"
    assert told.years_with_no_crop_in_ten is not None
    assert told.years_with_no_crop_in_ten > 5.0
    assert told.picking_season


def test_drought_and_shallow_soil_still_refuse() -> None:
    """Their figures are published: Washington State University and FAO-56 for water, a soil handbook for depth."""
    for name, ground in (
        ("dry and warm", Ground(texture="sandy", soil_depth_m=0.5, irrigated=False)),
        ("damp and mild", Ground(soil_depth_m=0.05)),
    ):
        there = site_fit(on_ground(place(name), ground), catalogue().advised)
        assert there.judged_share == 1.0
        assert verdicts(there).count("not_here") > 100


def test_causes_by_judgement_are_those_whose_figures_have_no_source() -> None:
    basis = {one.id: one.basis for one in parameters("hazards")}
    assert basis["hazards.spot.salt_in_gales"] == basis["hazards.spot.lost_to_lime"] == "own-judgement"
    assert basis["hazards.spot.lost_to_replant"] == "published"
    assert set(FIGURES.judged_causes) == {"salt_spray", "limy_soil"}
    told = spot(Ground(salt_spray=True, ph=8.2, old_orchard=True, soil_depth_m=0.3))
    rest = spot(Ground(old_orchard=True, soil_depth_m=0.3))
    assert told.judged_share * rest.ground_crop_chance == pytest.approx(told.ground_crop_chance)
