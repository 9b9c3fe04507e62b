"""Cultivars that live together on one trunk, and the scion by which a lone tree sets fruit."""

import itertools
from functools import partial

import msgspec
import numpy as np
import pytest

from domain.common.faults import ContentFaults
from domain.pollination.site_windows import site_windows
from domain.tables.loading import load
from domain.trunks.trunk_answer import MultiCultivarTree, MultiCultivarTreeRequest
from domain.trunks.trunk_work import STEPS
from domain.trunks.trunks import TrunkSet, candidates, choose, multi_cultivar_tree, worth_at_site
from domain.year_of_work.calendar_answer import SeasonCalendarsRequest
from domain.year_of_work.calendars import jobs_here, season_calendars
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
        assert limb.pollen_from or any(words.code == "limb_needs_a_tree_nearby" for words in limb.words)
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
    assert own.why[0].code == "trunk_no_scion_serves"


def test_unknown_bloom_of_the_trunk_is_said() -> None:
    unknown = next(c for c in load().cultivars if c.kind == "apple" and "bloom_offset_days" not in c.numbers)
    told = tree(trunk={"cultivar": unknown.name}, aim="pollen_for_the_trunk", available=["McIntosh"])
    assert told.pollen_scions == ()
    assert told.why[0].code == "trunk_bloom_unknown"


def test_without_a_site_the_usual_months_are_told_as_such() -> None:
    told = tree(available=STOCKED)
    assert {step.step: step.usual_months for step in told.work}["graft"] == (4, 5)
    assert all(step.from_day is None for step in told.work)
    assert told.why[-1].code == "trunk_usual_months"


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


def test_at_a_site_the_worthy_are_chosen_and_the_work_is_that_of_the_calendar() -> None:
    catalogue = shared.catalogue()
    for latitude, graft in ((51.3, ("03", "04")), (-37.8, ("08", "09", "10"))):
        request = msgspec.convert(
            {"site": {"latitude": latitude, "longitude": 0.5 if latitude > 0 else 145.0}, "cultivars": 3},
            MultiCultivarTreeRequest,
        )
        assert request.site is not None
        conditions = shared.conditions(request.site)
        worth = worth_at_site(request, catalogue, conditions)
        found = candidates(request, load(), worth)
        windows = site_windows(catalogue, conditions, found)
        told = multi_cultivar_tree(request, load(), windows, worth, partial(jobs_here, catalogue, conditions))
        assert len(told.limbs) == 3
        least = sorted(worth.values())[len(worth) // 2]
        assert all(worth[limb.id] > least for limb in told.limbs)
        grafting = next(step for step in told.work if step.step == "graft")
        assert grafting.from_day is not None
        assert grafting.from_day[:2] in graft
        asked = SeasonCalendarsRequest(site=request.site, cultivars=[limb.cultivar for limb in told.limbs])
        jobs = {job.job: (job.from_day, job.to_day) for job in season_calendars(asked, catalogue, conditions).work}
        steps = {step.step: (step.from_day, step.to_day) for step in told.work}
        assert all(steps[step] == jobs[job] for step, job in STEPS.items())
        assert {caution.code for caution in told.cautions} == {"plant_health", "grafting_knives", "ladders"}
