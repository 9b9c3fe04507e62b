"""Where too little is to be planted for a whole list, that little comes first."""

import msgspec

from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.planting_lists import planting_lists
from tests import shared
from tests.shared import catalogue, conditions

GULF = shared.site(latitude=29.75, longitude=-95.4, elevation_m=15)


def test_low_chill_cultivars_lead_on_the_gulf_whatever_use_is_asked_for() -> None:
    """Anna, Dorsett Golden and Ein Shemer: University of Florida and Texas services name no others first.

    A list of eaters, of which hardly any other is to be planted there, holds all three, though none is a sure source of
    pollen for all the others.
    """
    asked = msgspec.convert(
        {"site": msgspec.to_builtins(GULF), "space": {"tree_count": 5}, "lists": 1, "wanted": {"uses": ["dessert"]}},
        PlantingListsRequest,
    )
    (best,) = planting_lists(asked, catalogue(), conditions(GULF)).planting_lists
    chosen = {tree.cultivar: tree.verdict for tree in best.trees}
    assert {"Anna", "Dorsett Golden", "Ein Shemer"} <= set(chosen)
    assert {chosen[name] for name in ("Anna", "Dorsett Golden", "Ein Shemer")} == {"plant"}
