"""Lists as a grower reads them: pollen, wishes, stock, small and impossible lists, and what is said of them."""

import msgspec
import numpy as np
import pytest

from domain.common.season_days import season_day
from domain.planting_list.crops import crop_years
from domain.planting_list.wishes import Standing
from domain.pollination.kinship import sport_group
from domain.trees.tree_choices import TreeWishes
from tests.domain.planting_list.nursery import answer, chosen, many, sited
from tests.domain.pollination.orchard import cultivar


def test_every_tree_has_an_effective_source_in_isolation() -> None:
    at = many(80)
    found = answer(at, 8, neighbourhood="isolated")
    assert len(found.planting_lists) == 3
    assert found.limits == () or {one.limit for one in found.limits} <= {"lists"}
    for one in found.planting_lists:
        assert len(one.trees) == 8
        for tree in one.trees:
            alone = at.cultivars[at.row[tree.id]].findings.get("self_fertility")
            assert any(p.verdict == "effective" for p in tree.pollination_partners) or alone is not None


def test_lists_differ_in_a_third_and_hold_no_two_sports() -> None:
    at = many(80, seed=3)
    by_id = {one.id: one for one in at.cultivars}
    lists = answer(at, 9).planting_lists
    groups = [[sport_group(by_id[tree.id], by_id) for tree in one.trees] for one in lists]
    for one in groups:
        assert len(set(one)) == 9
    for first, second in ((0, 1), (0, 2), (1, 2)):
        assert len(set(groups[first]) & set(groups[second])) <= 6


def test_bound_holds_over_every_list() -> None:
    found = answer(many(60), 6)
    assert found.best_possible_value is not None
    assert all(one.value <= found.best_possible_value + 1e-4 for one in found.planting_lists)
    assert found.search.best_proven


def test_triploid_gets_a_source_and_its_source_another() -> None:
    at = sited(
        [cultivar("Triploid", ploidy="3"), cultivar("First"), cultivar("Second"), cultivar("Third")],
        rank={"Triploid": 0.95},
    )
    names = chosen(answer(at, 3, lists=1))
    assert "Triploid" in names
    assert len(names) == 3
    assert answer(at, 3, lists=1).limits == ()


def test_two_places_go_to_two_that_serve_each_other() -> None:
    at = sited(
        [cultivar("Triploid", ploidy="3"), cultivar("First"), cultivar("Second")],
        rank={"Triploid": 0.95, "First": 0.6, "Second": 0.5},
    )
    assert sorted(chosen(answer(at, 2, lists=1))) == ["First", "Second"]


def test_must_include_triploid_on_two_places_tells_what_is_missing() -> None:
    at = sited(
        [cultivar("Triploid", ploidy="3"), cultivar("First"), cultivar("Second"), cultivar("Crab", kind="crab_apple")]
    )
    found = answer(at, 2, lists=1, must_include=("triploid",))
    assert "Triploid" in chosen(found)
    assert [one.limit for one in found.limits] == ["pollination"]
    assert found.planting_lists[0].suggested_pollen_sources[0].cultivar == "Crab"


def test_source_of_a_triploid_may_be_partly_self_fertile() -> None:
    at = sited(
        [cultivar("Triploid", ploidy="3"), cultivar("First"), cultivar("Second", self_fertility="partly_self_fertile")],
        rank={"First": 0.85, "Second": 0.8},
    )
    assert "Second" in chosen(answer(at, 2, lists=1, must_include=("triploid",)))


def test_partial_sources_are_combined_where_none_is_sure() -> None:
    """Bloom so uncertain that no pair is sure: the list takes those that serve each other most, and says so."""
    apart = [cultivar(name, day, bloom_spread=2.0) for name, day in (("Early", -9.0), ("Middle", 0.0), ("Late", 9.0))]
    found = answer(sited([*apart, cultivar("Far", 60.0)], rank={"Far": 0.95}), 3, lists=1)
    assert sorted(chosen(found)) == ["Early", "Late", "Middle"]
    assert [one.limit for one in found.limits] == ["pollination"]
    middle = next(tree for tree in found.planting_lists[0].trees if tree.cultivar == "Middle")
    assert {partner.verdict for partner in middle.pollination_partners} == {"partial"}
    assert "No source is sure by itself" in middle.pollination.words


def test_lone_tree_is_answered_with_a_tree_and_its_risk() -> None:
    at = sited(
        [cultivar("Best"), cultivar("Helpful", self_fertility="partly_self_fertile"), cultivar("Other")],
        rank={"Best": 0.9},
    )
    found = answer(at, 1, lists=1, neighbourhood="isolated")
    assert chosen(found) == ["Helpful"]
    assert "pollination_at_risk" in [reason.code for reason in found.planting_lists[0].why]
    assert found.planting_lists[0].suggested_pollen_sources
    settled = answer(at, 1, lists=1, neighbourhood="settled")
    assert chosen(settled) == ["Best"]
    assert "settled neighbourhood" in settled.planting_lists[0].trees[0].pollination.words


def test_lone_tree_without_self_fertile_ones_says_what_binds() -> None:
    found = answer(sited([cultivar("One"), cultivar("Other")]), 1, lists=1, neighbourhood="isolated")
    assert [one.limit for one in found.limits] == ["pollination"]
    assert "crab apple" in found.limits[0].relax.words
    told = found.planting_lists[0]
    assert (told.years_with_no_crop_in_ten or 0) > 8
    assert told.verdict == "worth_trying"  # a branch of another mends it, and that is told with what it brings
    (with_pollen,) = [one for one in told.why if one.code == "bears_with_a_source"]
    assert float(str(with_pollen.values["enough"])) >= 7


@pytest.mark.parametrize(("distance_m", "served"), [(20.0, True), (100.0, True), (400.0, False), (3000.0, False)])
def test_nearby_pollen_serves_by_distance(distance_m: float, served: bool) -> None:
    at = sited([cultivar("Planted"), cultivar("Crab", kind="crab_apple")])
    found = answer(at, 1, lists=1, nearby=(Standing("crab", distance_m=distance_m),))
    partner = found.planting_lists[0].trees[0].pollination_partners[0]
    assert (partner.verdict == "effective") == served
    assert (found.limits == ()) == served
    assert partner.stands == "nearby"


def test_established_tree_serves_and_its_sports_are_not_planted_again() -> None:
    at = sited(
        [cultivar("Stands"), cultivar("Its Sport", sport_of="stands"), cultivar("New")],
        rank={"Its Sport": 0.99},
    )
    found = answer(at, 1, lists=1, standing=(Standing("stands"), Standing("stands")))
    assert chosen(found) == ["New"]
    assert found.limits == ()
    assert [p.cultivar for p in found.planting_lists[0].trees[0].pollination_partners] == ["Stands"]


def test_neighbours_only_add_and_only_if_they_bloom_at_the_time() -> None:
    usual = [cultivar(f"Usual {n}", (n - 4) * 0.7) for n in range(9)]
    at = sited([*usual, cultivar("Far Too Early", -25.0)], rank={"Far Too Early": 0.95})
    assert chosen(answer(at, 1, lists=1, neighbourhood="settled")) != ["Far Too Early"]


def test_picking_season_is_spread() -> None:
    names = [f"Early {n}" for n in range(4)] + ["Middle", "Late"]
    at = sited(
        [cultivar(name) for name in names],
        harvest={**dict.fromkeys(names[:4], 395.0), "Middle": 430.0, "Late": 465.0},
        rank={**dict.fromkeys(names[:4], 0.85), "Middle": 0.8, "Late": 0.8},
        storage_weeks=dict.fromkeys(names, 0.0),
    )
    assert set(chosen(answer(at, 3, lists=1))) >= {"Middle", "Late"}
    rows = answer(at, 3, lists=1).planting_lists[0].picking_season
    assert [row.from_ for row in rows] == sorted(row.from_ for row in rows)


def test_use_until_counts_storage() -> None:
    at = sited([cultivar("Keeper"), cultivar("Other")], harvest={"Keeper": 450.0}, storage_weeks={"Keeper": 20.0})
    row = next(r for r in answer(at, 2, lists=1).planting_lists[0].picking_season if r.cultivar == "Keeper")
    days = season_day(row.use_until or row.to, False, 500) - season_day(row.to, False, 400)
    assert days == 140


def test_wished_uses_are_covered() -> None:
    at = sited(
        [*[cultivar(f"Dessert {n}") for n in range(5)], cultivar("Cooker", uses="cooking")],
        rank={"Cooker": 0.6},
    )
    assert "Cooker" in chosen(answer(at, 3, lists=1, uses=("dessert", "cooking")))
    assert "Cooker" not in chosen(answer(at, 3, lists=1, uses=("dessert",)))


def test_use_that_nothing_serves_is_told() -> None:
    found = answer(sited([cultivar("One"), cultivar("Other")]), 2, lists=1, uses=("dessert", "cider"))
    (told,) = (reason for reason in found.planting_lists[0].why if reason.code == "uses_served_in_part")
    assert told.values == {"served": ("dessert",), "missing": ("cider",)}
    assert told.words == "For dessert. No tree on it is known to serve for cider."


def test_picking_window_is_kept_and_named_when_it_binds() -> None:
    at = sited(
        [cultivar("Early"), cultivar("Early Too"), cultivar("Late"), cultivar("Late Too")],
        harvest={"Early": 390.0, "Early Too": 392.0, "Late": 450.0, "Late Too": 455.0},
        rank={"Early": 0.9},
    )
    found = answer(at, 2, lists=1, first_ripe="09-01", last_ripe="11-15")
    assert sorted(chosen(found)) == ["Late", "Late Too"]
    assert "picking_window" in [one.limit for one in found.limits]
    assert "Early" in next(one.words for one in found.limits if one.limit == "picking_window")


def test_window_that_nothing_meets_gives_no_list_and_says_why() -> None:
    found = answer(sited([cultivar("One"), cultivar("Other")]), 2, first_ripe="07-01", last_ripe="07-10")
    assert found.planting_lists == ()
    assert [one.limit for one in found.limits] == ["picking_window"]


def test_nothing_available_gives_no_list_and_says_why() -> None:
    found = answer(sited([cultivar("One"), cultivar("Other")]), 2, available=frozenset())
    assert found.planting_lists == ()
    assert "available" in [one.limit for one in found.limits]


def test_stock_of_unsuited_ones_gives_the_least_bad_and_names_better_ones() -> None:
    at = sited(
        [cultivar("Suited"), cultivar("Stocked"), cultivar("Stocked Too")],
        verdict={"Stocked": "not_here", "Stocked Too": "not_here"},
        rank={"Stocked": 0.2, "Stocked Too": 0.1},
    )
    found = answer(at, 2, lists=1, available=frozenset({"stocked", "stocked-too"}))
    assert sorted(chosen(found)) == ["Stocked", "Stocked Too"]
    assert [one.limit for one in found.limits] == ["climate", "available"]
    assert "Suited" in found.limits[1].relax.words


def test_stock_and_exclusions_are_respected() -> None:
    at = many(40)
    stock = frozenset(one.id for one in at.cultivars[:25])
    unwanted = frozenset(one.id for one in at.cultivars[:5])
    found = answer(at, 5, available=stock, excluded=unwanted)
    listed = {tree.id for one in found.planting_lists for tree in one.trees}
    assert listed
    assert listed <= stock - unwanted


def test_unsuited_must_include_is_planted_told_and_given_a_like_one() -> None:
    at = sited(
        [cultivar("Wished"), cultivar("Alike"), cultivar("Unlike"), cultivar("Third")],
        verdict={"Wished": "not_here"},
        harvest={"Wished": 460.0, "Alike": 458.0, "Unlike": 400.0, "Third": 410.0},
    )
    found = answer(at, 2, lists=1, must_include=("wished",))
    tree = next(tree for tree in found.planting_lists[0].trees if tree.cultivar == "Wished")
    assert tree.chosen == "must_include"
    assert "not advised" in tree.expect.words
    assert tree.like_one_that_suits is not None
    assert tree.like_one_that_suits.cultivar == "Alike"
    assert found.advised_against[0].cultivar == "Wished"


def test_more_must_includes_than_places_says_space_binds() -> None:
    at = sited([cultivar("One"), cultivar("Other"), cultivar("Third")])
    found = answer(at, 2, must_include=("one", "other", "third"))
    assert found.planting_lists == ()
    assert found.limits[0].limit == "space"


def test_two_of_one_only_where_too_few_are_suited() -> None:
    at = sited([cultivar("One"), cultivar("Other")])
    found = answer(at, 4, lists=1)
    assert sorted(chosen(found)) == ["One", "One", "Other", "Other"]
    assert "cultivars_stand_twice" in [reason.code for reason in found.planting_lists[0].why]
    short = answer(at, 6, lists=1)
    assert len(chosen(short)) == 4
    assert "2 of 6 places stay empty" in short.limits[0].words


def test_small_lists_are_not_offered_twice() -> None:
    found = answer(sited([cultivar("One"), cultivar("Other")]), 3, lists=3)
    listed = [tuple(sorted(chosen(found, one.rank))) for one in found.planting_lists]
    assert len(set(listed)) == len(listed)


def test_only_suited_cultivars_enter_freely() -> None:
    at = sited(
        [cultivar("Suited"), cultivar("Suited Too"), cultivar("Unsuited"), cultivar("Unknown")],
        verdict={"Unsuited": "not_here", "Unknown": "not_known"},
        rank={"Unsuited": 0.99, "Unknown": 0.99},
    )
    assert set(chosen(answer(at, 3, lists=1))) == {"Suited", "Suited Too"}


def test_worth_trying_comes_after_plant() -> None:
    at = sited(
        [cultivar("Sure"), cultivar("Sure Too"), cultivar("Doubtful")],
        verdict={"Doubtful": "worth_trying"},
        rank={"Doubtful": 0.9, "Sure": 0.75, "Sure Too": 0.75},
    )
    assert set(chosen(answer(at, 2, lists=1))) == {"Sure", "Sure Too"}


def test_warm_site_without_suited_ones_offers_the_least_bad_and_says_so() -> None:
    names = ["Least Bad", "Bad", "Worse"]
    at = sited(
        [cultivar(name) for name in names],
        verdict=dict.fromkeys(names, "not_here"),
        rank={"Least Bad": 0.2, "Bad": 0.1, "Worse": 0.05},
        crop=0.2,
    )
    found = answer(at, 2, lists=1)
    assert sorted(chosen(found)) == ["Bad", "Least Bad"]
    assert found.planting_lists[0].why[0].code == "least_bad"
    assert "climate" in [one.limit for one in found.limits]
    assert len(found.advised_against) == 3


def test_no_spray_prefers_sound_fruit() -> None:
    at = sited(
        [cultivar("Clean"), cultivar("Clean Too"), cultivar("Scabby"), cultivar("Scabby Too")],
        rank={"Scabby": 0.9, "Scabby Too": 0.9, "Clean": 0.8, "Clean Too": 0.8},
        sound={"Clean": 0.9, "Clean Too": 0.9, "Scabby": 0.3, "Scabby Too": 0.3},
    )
    assert sorted(chosen(answer(at, 2, lists=1))) == ["Scabby", "Scabby Too"]
    assert sorted(chosen(answer(at, 2, lists=1, no_spray=True))) == ["Clean", "Clean Too"]


def test_low_trees_prefer_weak_growth() -> None:
    at = sited(
        [
            cultivar("Weak", vigour=1.5),
            cultivar("Column", growth_form="columnar"),
            cultivar("Strong", vigour=5),
            cultivar("Strong Too", vigour=5),
        ],
        rank={"Strong": 0.84, "Strong Too": 0.84},
    )
    assert sorted(chosen(answer(at, 2, lists=1))) == ["Strong", "Strong Too"]
    low = answer(at, 2, lists=1, trees=TreeWishes(keep_height_m=2.6), rootstocks=frozenset({"mm-106"}))
    assert sorted(chosen(low)) == ["Column", "Weak"]
    (limit,) = (one for one in low.limits if one.limit == "tree_size")
    assert "Strong and Strong Too" in limit.words


def test_unknown_bloom_is_never_chosen_freely_but_may_be_insisted_on() -> None:
    at = sited([cultivar("Mystery", None), cultivar("One"), cultivar("Other")], rank={"Mystery": 0.99})
    assert "Mystery" not in chosen(answer(at, 2, lists=1))
    found = answer(at, 3, lists=1, must_include=("mystery",))
    tree = next(tree for tree in found.planting_lists[0].trees if tree.cultivar == "Mystery")
    assert "not known" in tree.pollination.words


def test_southern_dates() -> None:
    at = sited([cultivar("One"), cultivar("Other")], harvest={"One": 420.0, "Other": 440.0}, south=True)
    rows = answer(at, 2, lists=1, first_ripe="02-01", last_ripe="04-30").planting_lists[0].picking_season
    assert [row.from_ for row in rows] == ["02-25", "03-17"]


def test_equal_requests_get_equal_bytes() -> None:
    one, other = (msgspec.json.encode(answer(many(60, seed=8), 6)) for _ in range(2))
    assert one == other
    assert b"NaN" not in one
    assert b'"from":' in one


def test_trees_fail_together_in_a_bad_spring() -> None:
    """Ten trees that lose one common spring in ten have a year without crop; ten independent ones would hardly."""
    spring = np.ones((10, 100), dtype=np.float32)
    spring[:, ::10] = 0.0
    together = crop_years(spring, np.ones(10))
    assert together.none == pytest.approx(1.0)
    assert together.enough == pytest.approx(9.0)
    apart = crop_years(np.full((10, 100), 0.9, dtype=np.float32), np.ones(10))
    assert apart.none < 1e-6


def test_crop_years_of_one_tree_are_its_chance() -> None:
    years = crop_years(np.full((1, 50), 0.8, dtype=np.float32), np.array([0.5]))
    assert years.none == pytest.approx(6.0)
    assert years.enough == pytest.approx(4.0)


def test_unknown_keeping_stays_unknown() -> None:
    at = sited([cultivar("Keeps"), cultivar("Unknown")], storage_weeks={"Keeps": 12.0, "Unknown": np.nan})
    picking = {row.cultivar: row for row in answer(at, 2, lists=1).planting_lists[0].picking_season}
    assert picking["Keeps"].use_until not in {None, picking["Keeps"].to}
    assert picking["Unknown"].use_until is None
