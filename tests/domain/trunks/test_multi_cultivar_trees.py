"""Cultivars that live together on one trunk, and the scion by which a lone tree sets fruit."""

import itertools
from dataclasses import replace
from functools import partial
from typing import Any

import msgspec
import numpy as np
import pytest

from domain.common.faults import ContentFaults
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.planting_lists import (
    passed_over_here,
    plantable,
    planting_lists,
    sited_cultivars,
    told_here,
)
from domain.planting_list.space import Room
from domain.planting_list.tree_worth import tree_values, unknown_wishes
from domain.planting_list.wishes import Wishes
from domain.pollination.kinship import sport_group
from domain.pollination.pairs_answer import PollinationPairsRequest, pollination_pairs
from domain.pollination.site_windows import site_windows
from domain.suitability.suitability_request import Weights
from domain.tables.loading import load
from domain.traits.fruit_wishes import FruitWanted, likely_dessert, origins_named, wishes_met
from domain.trunks.trunk_answer import MultiCultivarTree, MultiCultivarTreeRequest, Trunk
from domain.trunks.trunk_candidates import names_asked, pool_at_site
from domain.trunks.trunk_choice import TrunkSet, choose
from domain.trunks.trunk_work import STEPS
from domain.trunks.trunks import multi_cultivar_tree
from domain.trunks.what_it_carries import carries
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


@pytest.mark.parametrize(
    ("body", "place"),
    [
        ({}, "#/available"),
        ({"aim": "pollen_for_the_trunk", "available": ["Gala"]}, "#/trunk/cultivar"),
        (
            {
                "aim": "pollen_for_the_trunk",
                "trunk": {"cultivar": "Honeycrisp"},
                "must_include": ["Fuji"],
                "available": ["Gala"],
            },
            "#/must_include",
        ),
        ({"trunk": {"rootstock": "no-such"}, "available": ["Gala"]}, "#/trunk/rootstock"),
        ({"available": ["Gala", "No Such Apple"]}, "#/available/1"),
        ({"cultivars": 1, "must_include": ["Gala", "Fuji"], "available": ["Gala"]}, "#/cultivars"),
        ({"available": ["Gala"], "wanted": {"first_ripe": "08-01"}}, "#/wanted/first_ripe"),
        ({"available": ["Gala"], "wanted": {"origins": ["Atlantis"]}}, "#/wanted/origins/0"),
        ({"available": ["Bolero"]}, "#/available"),
    ],
)
def test_what_cannot_be_meant_is_refused(body: dict[str, object], place: str) -> None:
    with pytest.raises(ContentFaults) as refused:
        tree(**body)
    assert [fault.pointer for fault in refused.value.faults] == [place]


def at_site(**body: Any) -> MultiCultivarTree:
    catalogue = shared.catalogue()
    request = msgspec.convert(body, MultiCultivarTreeRequest)
    assert request.site is not None
    at = (catalogue, shared.conditions(request.site))
    return multi_cultivar_tree(request, catalogue.tables, at, partial(jobs_here, *at))


def test_at_a_site_the_worthy_are_chosen_and_the_work_is_that_of_the_calendar() -> None:
    catalogue = shared.catalogue()
    for latitude, graft in ((51.3, ("02", "03", "04")), (-37.8, ("08", "09", "10"))):
        site = {"latitude": latitude, "longitude": 0.5 if latitude > 0 else 145.0}
        told = at_site(site=site, cultivars=3)
        request = msgspec.convert({"site": site, "cultivars": 3}, MultiCultivarTreeRequest)
        assert request.site is not None
        conditions = shared.conditions(request.site)
        assert len(told.limbs) == 3
        assert all(limb.verdict == "plant" for limb in told.limbs)
        grafting = next(step for step in told.work if step.step == "graft")
        assert grafting.from_day is not None
        assert grafting.from_day[:2] in graft
        calendar = SeasonCalendarsRequest(site=request.site, cultivars=[limb.cultivar for limb in told.limbs])
        jobs = {job.job: (job.from_day, job.to_day) for job in season_calendars(calendar, catalogue, conditions).work}
        steps = {step.step: (step.from_day, step.to_day) for step in told.work}
        assert all(steps[step] == jobs[job] for step, (job, _) in STEPS.items())
        assert {caution.code for caution in told.cautions} == {"plant_health", "grafting_knives", "ladders"}


KENT = {"latitude": 51.3, "longitude": 0.5}
CORDOBA = {"latitude": 37.9, "longitude": -4.8, "elevation_m": 110}


@pytest.mark.parametrize(
    ("trunk", "most"),
    [
        ({"rootstock": "M.27"}, 2),
        ({"rootstock": "M.9"}, 4),
        ({"rootstock": "MM.106"}, 6),
        ({"rootstock": "seedling"}, 12),
        ({"rootstock": "seedling", "age_years": 1}, 3),
        ({"age_years": 30}, 12),
        ({}, 12),
    ],
)
def test_a_trunk_carries_as_many_as_its_stock_and_age_allow(trunk: dict[str, Any], most: int) -> None:
    assert carries(msgspec.convert(trunk, Trunk)) == most
    told = tree(trunk=trunk, cultivars=8, available=STOCKED)
    assert len(told.limbs) <= most
    assert told.carries_at_most == most
    assert ("trunk_carries_at_most" in {one.code for one in told.why}) == (most < 8)


def test_what_must_be_is_grafted_though_the_trunk_is_too_small() -> None:
    told = tree(trunk={"cultivar": "Gala", "rootstock": "M.27"}, must_include=["Idared", "Liberty"], available=STOCKED)
    assert [limb.cultivar for limb in told.limbs] == ["Gala", "Idared", "Liberty"]
    assert told.why[0].code == "trunk_must_carry_more"


def test_a_young_trunk_is_grafted_one_limb_a_year() -> None:
    told = tree(trunk={"cultivar": "Gala", "rootstock": "M.9", "age_years": 1}, cultivars=4, available=STOCKED)
    assert sorted(limb.graft_in_year for limb in told.limbs if limb.graft_in_year is not None) == [1, 2]


def test_the_cultivar_of_the_trunk_is_served_first_and_its_source_grafted_first() -> None:
    told = at_site(site=KENT, trunk={"cultivar": "Fuji"}, cultivars=3)
    own, *others = told.limbs
    assert own.on_the_tree
    assert own.pollen_from
    first = [limb.id for limb in others if limb.graft_in_year == 1]
    assert {source.id for source in own.pollen_from} & set(first)


def test_nothing_is_grafted_on_a_columnar_trunk_and_it_says_why() -> None:
    """Columnar trees make no side limbs (growth_form of Bolero: columnar, as its breeders say)."""
    for aim in ("several_cultivars", "pollen_for_the_trunk"):
        told = tree(trunk={"cultivar": "Bolero", "rootstock": "MM.106"}, aim=aim, available=STOCKED)
        assert (told.limbs, told.pollen_scions, told.carries_at_most) == ((), (), None)
        assert [one.code for one in told.why] == ["trunk_is_columnar"]


@pytest.mark.parametrize(
    "body",
    [
        {"trunk": {"cultivar": "Golden Delicious"}, "aim": "pollen_for_the_trunk", "available": ["Jonagold"]},
        {"trunk": {"cultivar": "Golden Delicious"}, "available": ["Golden Delicious"]},
        {
            "trunk": {"cultivar": "Golden Delicious"},
            "available": STOCKED,
            "wanted": {"skins": ["russet"]},
            "cultivars": 1,
        },
    ],
)
def test_where_nothing_is_grafted_no_work_is_told(body: dict[str, Any]) -> None:
    for told in (tree(**body), at_site(site=KENT, **body)):
        assert (told.work, told.methods) == ((), ())
        assert told.why or body.get("cultivars") == 1
        assert not {one.code for one in told.why} & {"trunk_usual_months", "trunk_balance", "trunk_may_not_last"}
        assert all(limb.graft_in_year is None for limb in told.limbs)


def test_unknown_vigour_gets_no_firm_place() -> None:
    advised = [c for c in load().cultivars if c.status == "advised" and c.kind == "apple"]
    unknown = next(c for c in advised if "vigour" not in c.numbers and "bloom_offset_days" in c.numbers)
    told = tree(trunk={"cultivar": unknown.name}, cultivars=3, available=STOCKED)
    assert told.limbs[0].place is None
    assert "trunk_vigour_unknown" in {one.code for one in told.why}
    assert all(limb.place is not None for limb in told.limbs if limb.vigour is not None)


def test_stocks_that_break_or_suffer_from_viruses_are_warned_of() -> None:
    """G.935: sensitive to latent viruses, brittle union; as the texts behind adopted/rootstocks.csv say."""
    codes = {one.code for one in tree(trunk={"rootstock": "G.935"}, available=STOCKED).why}
    assert {"trunk_virus_tested_scions", "trunk_union_brittle"} <= codes
    sound = {one.code for one in tree(trunk={"rootstock": "M.9"}, available=STOCKED).why}
    assert not sound & {"trunk_virus_tested_scions", "trunk_union_brittle"}


def test_wishes_hold_on_a_trunk_as_in_lists() -> None:
    told = at_site(site=KENT, cultivars=3, wanted={"skins": ["russet"], "uses": ["dessert"]})
    assert told.limbs
    assert all(limb.fruit.skin == "russet" for limb in told.limbs)
    assert all(limb.uses and "dessert" in limb.uses for limb in told.limbs)
    late = at_site(site=KENT, cultivars=3, wanted={"first_ripe": "09-20"})
    assert all(limb.picked is not None and limb.picked.from_day >= "09-20" for limb in late.limbs)


def test_every_cultivar_in_bloom_at_a_known_time_is_a_candidate_though_its_bloom_is_estimated() -> None:
    """Dorsett Golden has no position of bloom of its own; pairs judge it, and so do trunks."""
    catalogue = shared.catalogue()
    request = msgspec.convert(
        {"site": CORDOBA, "trunk": {"cultivar": "Eva"}, "aim": "pollen_for_the_trunk"}, MultiCultivarTreeRequest
    )
    assert request.site is not None
    conditions = shared.conditions(request.site)
    pool = pool_at_site(request, catalogue, conditions, names_asked(request, catalogue.tables))
    by_name = {cultivar.name: n for n, cultivar in enumerate(pool.cultivars)}
    pairs = pollination_pairs(
        PollinationPairsRequest(cultivars=["Eva", "Dorsett Golden", "Anna"]), catalogue.tables,
        site_windows(catalogue, conditions, [catalogue.tables.by_id[one] for one in ("eva", "dorsett-golden", "anna")]),
    )  # fmt: skip
    for name in ("Dorsett Golden", "Anna"):
        (pair,) = [one for one in pairs.pairs if one.pollinated == "Eva" and one.pollen_from == name]
        assert pair.probability == pytest.approx(float(pool.table.chance[0, by_name[name]]), abs=0.011)


def test_trunks_and_lists_judge_the_same_candidates() -> None:
    catalogue = shared.catalogue()
    body = {"site": KENT, "space": {"tree_count": 4}, "lists": 1}
    wanted = msgspec.convert(body, PlantingListsRequest)
    listed = planting_lists(wanted, catalogue, shared.conditions(wanted.site)).planting_lists[0].trees
    told = at_site(site=KENT, cultivars=4, available=[tree.cultivar for tree in listed])
    verdicts = {tree.id: tree.verdict for tree in listed}
    assert {limb.id for limb in told.limbs} == set(verdicts)
    assert all(limb.verdict == verdicts[limb.id] for limb in told.limbs)


def test_a_crab_apple_is_a_scion_where_only_pollen_is_asked() -> None:
    told = at_site(site=KENT, trunk={"cultivar": "Bramley's Seedling"}, aim="pollen_for_the_trunk")
    assert told.pollen_scions
    kinds = {scion.kind for scion in told.pollen_scions}
    assert kinds <= {"apple", "crab_apple"}
    limbs = at_site(site=KENT, trunk={"cultivar": "Bramley's Seedling"}, cultivars=4).limbs
    assert {catalogue_kind(limb.id) for limb in limbs} == {"apple"}


def catalogue_kind(cultivar_id: str) -> str:
    return shared.catalogue().tables.by_id[cultivar_id].kind


def test_method_and_aftercare_go_from_scion_to_first_fruit() -> None:
    told = tree(available=STOCKED)
    assert [one.code for one in told.methods][:3] == ["trunk_method_whip", "trunk_method_cleft", "trunk_method_rind"]
    assert told.methods[-1].values == {
        "least": 3,
        "most": 4,
    }  # L. H. Bailey, The Apple-Tree, 1922
    years = [step.year for step in told.work]
    assert years == sorted(years)
    assert {"loosen_ties", "rub_out_shoots", "take_fruit_off", "check_labels"} <= {step.step for step in told.work}


@pytest.mark.parametrize(
    "body",
    [
        {"site": {"latitude": 0.4, "longitude": 37.0, "elevation_m": 1800}, "cultivars": 3},
        {"site": KENT, "cultivars": 3, "available": ["Gala"], "wanted": {"flavours": ["bittersweet"]}},
    ],
)
def test_where_nothing_may_be_grafted_it_is_said(body: dict[str, Any]) -> None:
    """In highlands without winter nothing can be counted on; of two wishes together no cultivar may keep both."""
    told = at_site(**body)
    assert told.limbs == ()
    assert told.why[0].code == "trunk_too_few_candidates"


def test_what_is_to_be_planted_is_grafted_before_what_is_worth_a_try() -> None:
    """At Santa Barbara Mutsu is worth a try; of three limbs none is one of those while enough are surer."""
    coast = {"latitude": 34.45, "longitude": -119.7}
    offered = ["Mutsu", "Lady Williams", "Dorsett Golden", "Anna", "Granny Smith", "Cripps Pink"]
    verdict = {limb.cultivar: limb.verdict for limb in at_site(site=coast, cultivars=6, available=offered).limbs}
    assert {name for name, said in verdict.items() if said == "worth_trying"} == {"Mutsu"}
    three = at_site(site=coast, cultivars=3, available=offered).limbs
    assert {limb.verdict for limb in three} == {"plant"}


def test_sports_of_one_tree_are_not_enough_to_leave_out_another_of_unknown_use() -> None:
    wish: dict[str, Any] = {"uses": ["dessert"]}
    offered = ["Gala", "Royal Gala", "Alice"]
    without = tree(cultivars=2, available=offered, wanted=wish)
    for told in (without, at_site(site=KENT, cultivars=2, available=offered, wanted=wish)):
        assert len(told.limbs) == 2
        assert "alice" in {limb.id for limb in told.limbs}
        assert "trunk_too_few_candidates" not in {one.code for one in told.why}


def test_the_year_of_a_trunk_counts_where_today_is_known_and_its_age_else() -> None:
    told = tree(trunk={"year_planted": 2019, "age_years": 1}, available=STOCKED)
    assert told.carries_at_most == tree(trunk={"age_years": 1}, available=STOCKED).carries_at_most
    today = KENT | {"as_of": "2026-11-29"}
    young, old = (
        at_site(site=today, trunk={"year_planted": year}, available=STOCKED, cultivars=2).carries_at_most
        for year in (2025, 1990)
    )
    assert young is not None
    assert old is not None
    assert young < old
    for age in (0.5, 1.9):
        alike = at_site(site=today, trunk={"year_planted": 2025, "age_years": age}, available=STOCKED, cultivars=2)
        assert alike.carries_at_most == young
    for trunk in ({"year_planted": 2024, "age_years": 60}, {"year_planted": 1966, "age_years": 2}):
        with pytest.raises(ContentFaults) as refused:
            at_site(site=today, trunk=trunk, available=STOCKED)
        assert [fault.pointer for fault in refused.value.faults] == ["#/trunk/age_years"]


def test_a_limb_is_worth_what_its_tree_on_a_list_is() -> None:
    """An untold use passes for eating raw on both, where it is sweet or new; what nobody there names is less."""
    catalogue, wish = shared.catalogue(), FruitWanted(uses=["dessert"])
    request = msgspec.convert({"site": KENT, "wanted": {"uses": ["dessert"]}}, MultiCultivarTreeRequest)
    assert request.site is not None
    conditions = shared.conditions(request.site)
    pool = pool_at_site(request, catalogue, conditions, names_asked(request, catalogue.tables))
    assert pool.rows is not None
    traits = plantable(catalogue, ())
    here = sited_cultivars(traits, conditions, Weights())
    here = replace(here, passed_over=passed_over_here(traits, conditions), told=told_here(catalogue, conditions))
    origins = origins_named(catalogue.tables.origin_texts)
    met = [wishes_met(one, wish, here.told.get(one.id, frozenset()), origins) for one in here.cultivars]
    listed = tree_values(Wishes(room=Room(4), fruit=wish), here, met)
    assert pool.worth == pytest.approx([listed[here.row[one.id]] for one in pool.cultivars])
    untold = next(one for one in here.cultivars if likely_dessert(one) and not one.findings.get("uses"))
    assert unknown_wishes(untold, {"uses": "not_known"}, ["dessert"]) == 0
    assert unknown_wishes(untold, {"uses": "not_known"}, ["cooking"]) == 1


def test_a_trunk_gets_what_a_list_there_would_and_no_sport_of_what_it_is() -> None:
    """No cider apple that nobody asked for, no second Golden Delicious, none that no source of that part names."""
    hobart = {"latitude": -42.9, "longitude": 147.3}
    told = at_site(site=hobart, cultivars=4)
    assert all(limb.uses != ("cider",) for limb in told.limbs)
    asked = at_site(site=hobart, cultivars=4, wanted={"uses": ["cider"]})
    assert any(limb.uses == ("cider",) for limb in asked.limbs)
    golden = at_site(site=CORDOBA, trunk={"cultivar": "Golden Delicious", "rootstock": "M.9"}, cultivars=3)
    by_id, ids = shared.tables().by_id, [limb.id for limb in golden.limbs]
    assert len({sport_group(by_id[one], by_id) for one in ids}) == len(ids) > 2
    assert "lady-williams" not in ids
    named = tree(trunk={"cultivar": "Gala"}, cultivars=4, available=["Royal Gala", "Fuji", "Red Fuji"])
    assert len(named.limbs) == 2
    assert named.why[0].code == "trunk_too_few_candidates"
