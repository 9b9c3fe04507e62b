"""The map of Japan against where its apples are picked, by prefecture.

Harvest: Ministry of Agriculture, Forestry and Fisheries of Japan, Crop Statistics 2020 (examples/orchard_map). The
figures and the ten cultivars were fixed before the map was first made. The bounds are what it reaches: the map hardly
refuses the warm south-west, where apples crop and nearly none are grown. It told prefectures apart by 0.68 before
orchards of the south's own hills were heard, which lift Golden Delicious and Orin there, and fruit was taken to wait
for cool days, which lowers Fuji and Orin in the north of Hokkaido; then by 0.53, hardly better than chance. Now that
the orchards of one village are heard together it did by 0.63, with a rank correlation of 0.35: it was this map that
showed what five of one village did, so for that rule it is no check. Since documents of Hokkaido, Aomori and Nagano
were entered it does by 0.66 and 0.37. It told them apart by 0.23 where witnesses were taken to know what fruit is worth
in the heat below them.
"""

import json

import pytest

from examples.orchard_map import CULTIVARS
from examples.orchard_map.agreement import Verdicts, agreement, scores
from examples.orchard_map.cells import HERE, cell_of


def kept(when: str) -> Verdicts:
    """The verdicts of the map that is kept."""
    features = json.loads((HERE / "cells.geojson").read_text(encoding="utf-8"))["features"]
    return {
        (cell_of(feature["id"]), name): feature["properties"][name][when][0]
        for feature in features
        for name in CULTIVARS
    }


def test_prefectures_that_grow_apples_score_above_those_that_do_not() -> None:
    now = agreement(kept("now"))
    print(now)
    assert now.prefectures == 44
    assert now.told_apart > 0.65
    assert now.rank_correlation > 0.3
    assert now.harvest_on_good_land > now.land_that_is_good


def test_the_islands_without_a_winter_have_no_apples() -> None:
    """Okinawa, which harvests none, is the only prefecture where no cultivar is to be planted."""
    score = scores(kept("now"))
    assert [prefecture for prefecture, share in score.items() if share == 0.0] == ["JP-47"]


@pytest.mark.xfail(strict=True, reason="the warm south-west crops in the map, where citrus is grown and no apple")
def test_most_of_the_harvest_comes_from_land_that_is_much_better_than_the_rest() -> None:
    now = agreement(kept("now"))
    assert now.harvest_on_good_land > 2.0 * now.land_that_is_good
