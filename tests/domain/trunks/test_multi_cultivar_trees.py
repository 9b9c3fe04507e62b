"""Cultivars that live together on one trunk, and the scion by which a lone tree sets fruit."""

import itertools

import msgspec
import numpy as np
import pytest

from domain.common.faults import ContentFaults
from domain.pollination.site_windows import site_windows
from domain.tables.loading import load
from domain.trunks.trunk_answer import MultiCultivarTree, MultiCultivarTreeRequest
from domain.trunks.trunks import TrunkSet, candidates, choose, multi_cultivar_tree, worth_at_site
from tests import shared

STOCKED = ["Gala", "Granny Smith", "Fuji", "Jonathan", "Idared", "Liberty", "Cox's Orange Pippin", "Lodi", "Jonagold"]


def tree(**body: object) -> MultiCultivarTree:
    return multi_cultivar_tree(msgspec.convert(body, MultiCultivarTreeRequest), load())


def test_trunk_stays_and_every_other_limb_is_grafted_a_few_a_year() -> None:
    told = tree(trunk={"cultivar": "Golden Delicious"}, cultivars=6, available=STOCKED)
    assert told.limbs[0].cultivar == "Golden Delicious"
    assert told.limbs[0].on_the_tree
    years = [limb.graft_in_year for limb in told.limbs[1:]]
    assert years == [1, 1, 1, 2, 2][: len(years)]
    assert len({limb.cultivar for limb in told.limbs}) == len(told.limbs) > 3


def test_every_limb_has_a_source_on_the_trunk_or_says_so() -> None:
    told = tree(cultivars=4, available=STOCKED)
    for limb in told.limbs:
        assert limb.pollen_from or any("needs a tree nearby" in words for words in limb.words)
    assert sum(bool(limb.pollen_from) for limb in told.limbs) >= 3


def test_vigour_is_kept_alike_and_places_balance_the_rest() -> None:
    told = tree(cultivars=5, available=STOCKED)
    vigour = [limb.vigour for limb in told.limbs if limb.vigour is not None]
    assert max(vigour) - min(vigour) <= 1.5
    for weak, strong in itertools.permutations(told.limbs, 2):
        if weak.vigour is not None and strong.vigour is not None and weak.vigour < strong.vigour:
            assert (weak.place, strong.place) != ("low", "high_sunny")


def test_seasons_are_spread() -> None:
    told = tree(cultivars=4, available=STOCKED)
    days = sorted(limb.ripens_after_first_days for limb in told.limbs if limb.ripens_after_first_days is not None)
    assert days[0] == 0
    assert days[-1] >= 28


def test_exchange_comes_near_the_best_of_all_sets() -> None:
    rng = np.random.default_rng(11)
    for _ in range(5):
        n = 12
        choice = TrunkSet(
            worth=rng.uniform(0.3, 1.0, n),
            vigour=rng.choice([2.0, 3.0, 3.5, 4.0, 5.0], n),
            ripens=rng.uniform(-70, 30, n),
            carries=rng.random((n, 2)) < 0.2,
            chance=rng.choice([0.0, 0.3, 0.96], (n, n)),
        )
        best = max(choice.value(rows) for rows in itertools.combinations(range(n), 4))
        found = choose(choice, 0, 4)
        assert len(found) <= 4
        assert choice.value(found) >= 0.97 * best


def test_a_lone_tree_gets_the_scion_that_serves_it() -> None:
    told = tree(trunk={"cultivar": "Honeycrisp"}, aim="pollen_for_the_trunk", available=STOCKED)
    chances = [scion.probability for scion in told.pollen_scions]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] >= 0.75
    assert "Jonagold" not in {scion.cultivar for scion in told.pollen_scions}  # triploid
    own = tree(trunk={"cultivar": "Golden Delicious"}, aim="pollen_for_the_trunk", available=["Jonagold"])
    assert own.pollen_scions == ()
    assert "look for others" in own.why[0]


def test_unknown_bloom_of_the_trunk_is_said() -> None:
    unknown = next(c for c in load().cultivars if c.kind == "apple" and "bloom_offset_days" not in c.numbers)
    told = tree(trunk={"cultivar": unknown.name}, aim="pollen_for_the_trunk", available=["McIntosh"])
    assert told.pollen_scions == ()
    assert "is not known: watch it" in told.why[0]


def test_months_turn_with_the_hemisphere() -> None:
    site = {"latitude": -43.5, "longitude": 172.6}
    south = {step.step: step.months for step in tree(available=STOCKED, site=site).work}
    north = {step.step: step.months for step in tree(available=STOCKED).work}
    assert north["graft"] == (4, 5)
    assert south["graft"] == (10, 11)
    assert south["cut_scions"] == (7, 8)


def test_worth_decides_where_nothing_else_does() -> None:
    tables = load()
    request = msgspec.convert({"cultivars": 3}, MultiCultivarTreeRequest)
    worth = {tables.names.resolve(name) or "": 0.9 - 0.05 * n for n, name in enumerate(STOCKED)}
    assert {c.name for c in candidates(request, tables, worth)} == set(STOCKED)
    assert len(multi_cultivar_tree(request, tables, worth=worth).limbs) == 3


@pytest.mark.parametrize(
    ("body", "place"),
    [
        ({}, "#/available"),
        ({"aim": "pollen_for_the_trunk", "available": ["Gala"]}, "#/trunk/cultivar"),
        ({"trunk": {"rootstock": "no-such"}, "available": ["Gala"]}, "#/trunk/rootstock"),
        ({"available": ["Gala", "No Such Apple"]}, "#/available/1"),
        ({"cultivars": 1, "must_include": ["Gala", "Fuji"], "available": ["Gala"]}, "#/cultivars"),
    ],
)
def test_what_cannot_be_meant_is_refused(body: dict[str, object], place: str) -> None:
    with pytest.raises(ContentFaults) as refused:
        tree(**body)
    assert [fault.pointer for fault in refused.value.faults] == [place]


def test_at_a_site_the_worthy_are_chosen_and_months_follow_the_hemisphere() -> None:
    catalogue = shared.catalogue()
    for latitude, graft in ((51.3, (4, 5)), (-37.8, (10, 11))):
        request = msgspec.convert(
            {"site": {"latitude": latitude, "longitude": 0.5 if latitude > 0 else 145.0}, "cultivars": 3},
            MultiCultivarTreeRequest,
        )
        assert request.site is not None
        conditions = shared.conditions(request.site)
        worth = worth_at_site(request, catalogue, conditions)
        found = candidates(request, load(), worth)
        windows = site_windows(catalogue, conditions, found)
        told = multi_cultivar_tree(request, load(), windows, worth)
        assert len(told.limbs) == 3
        least = sorted(worth.values())[len(worth) // 2]
        assert all(worth[load().names.resolve(limb.cultivar) or ""] > least for limb in told.limbs)
        assert next(step.months for step in told.work if step.step == "graft") == graft
        assert {caution.code for caution in told.cautions} == {"plant_health", "grafting_knives", "ladders"}
