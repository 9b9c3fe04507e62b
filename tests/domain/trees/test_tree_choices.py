"""Forms and stocks that suit a gardener, trees by age, and the year's work."""

import pytest

from domain.tables.rootstocks import rootstocks
from domain.tables.tree_forms import tree_forms
from domain.trees.stock_hazards import Hazards, judged, root_cold_share
from domain.trees.tree_choices import TreeWishes, tree_choices
from domain.trees.tree_size import ScionGrowth, tree_size
from domain.trees.upkeep import upkeep

PLAIN = ScionGrowth(vigour=3.0, bearing="spur")


def forms_for(scion: ScionGrowth, **wishes: object) -> dict[str, str]:
    choices = tree_choices(scion, TreeWishes(**wishes))  # type: ignore[arg-type]  # names of one struct's fields
    return {choice.form: choice.rootstock for choice in choices}


def test_no_ladder_keeps_every_tree_in_reach() -> None:
    choices = tree_choices(ScionGrowth(vigour=4.0), TreeWishes(no_ladder=True))
    assert choices
    assert all(choice.size.height_m.likely <= 2.5 and not choice.size.ladder for choice in choices)


def test_a_pot_a_fence_and_a_columnar_cultivar() -> None:
    assert set(forms_for(PLAIN, in_pot=True)) == {"container"}
    assert set(forms_for(PLAIN, against_fence=True)) <= {"oblique-cordon", "espalier", "fan", "stepover"}
    assert set(forms_for(ScionGrowth(columnar=True))) == {"columnar"}
    assert set(forms_for(PLAIN, no_pruning=True, keep_height_m=3.0)) == {"untrained"}


def test_tip_bearers_are_not_cut_to_spurs() -> None:
    assert forms_for(ScionGrowth(bearing="tip"), against_fence=True) == {}
    assert "bush" in forms_for(ScionGrowth(vigour=3.0, bearing="tip"))
    held = tree_choices(ScionGrowth(vigour=3.0, bearing="tip"), TreeWishes(keep_height_m=2.5), available=("m-26",))
    assert held
    assert not any("two buds" in care.words for choice in held for care in choice.training)


def test_only_what_is_on_sale() -> None:
    assert tree_choices(PLAIN, TreeWishes(keep_height_m=2.0), available=("mm-111", "seedling")) == ()
    assert {c.rootstock for c in tree_choices(PLAIN, TreeWishes(), available=("mm-106",))} == {"mm-106"}
    held = tree_choices(PLAIN, TreeWishes(keep_height_m=2.4), available=("mm-106",))
    assert any("two buds" in care.words for choice in held for care in choice.training)


def test_a_weak_cultivar_makes_a_lower_standard_on_the_stock_of_standards() -> None:
    """Nurseries sell Discovery, of weak growth, as a standard on M.25; on a dwarfing stock nothing makes one."""
    weak = ScionGrowth(vigour=2.0, bearing="partial_tip")
    (standard,) = tree_choices(weak, TreeWishes(forms=("standard",)), sold=(("m-25", "standard"),))
    assert 4.0 <= standard.size.height_m.likely < 6.0
    assert tree_choices(weak, TreeWishes(forms=("standard",)), sold=(("m-9", "standard"),)) == ()
    assert tree_choices(weak, TreeWishes(forms=("standard",)), sold=(("mm-106", "standard"),)) == ()


def stocks_for(hazards: Hazards, available: tuple[str, ...]) -> set[str]:
    choices = tree_choices(PLAIN, TreeWishes(keep_height_m=2.6, hazards=hazards), available=available)
    assert choices
    return {choice.rootstock for choice in choices}


def test_the_hazards_of_the_place_move_the_stock() -> None:
    """Each stock offered against its rival of about the same size, by what is published of the two."""
    cold = Hazards(root_injury=(0.0, 0.05, 0.15, 0.4))
    assert stocks_for(cold, ("m-9", "g-935")) == {"g-935"}
    assert stocks_for(Hazards(replant=True), ("m-26", "g-41")) == {"g-41"}
    assert stocks_for(Hazards(fire_blight=0.9), ("m-26", "g-935")) == {"g-935"}
    assert stocks_for(Hazards(woolly_aphid=True), ("m-9", "g-41")) == {"g-41"}
    assert stocks_for(Hazards(drought=True), ("m-26", "bud-9")) == {"bud-9"}
    wet = tree_choices(PLAIN, TreeWishes(hazards=Hazards(wet_ground=True)), available=("mm-106",))
    assert all("wet ground" in choice.training[0].words for choice in wet)
    assert wet


HAZARDS = {
    "fire_blight": Hazards(fire_blight=1.0),
    "woolly_apple_aphid": Hazards(woolly_aphid=True),
    "replant": Hazards(replant=True),
    "drought": Hazards(drought=True),
    "lime": Hazards(lime=True),
    "heat": Hazards(heat=True),
    "staking": Hazards(wind=True),
    "salt": Hazards(salt=True),
}


@pytest.mark.parametrize("trait", HAZARDS)
def test_what_is_unknown_is_no_better_than_what_is_known(trait: str) -> None:
    cost = {
        stock.id: judged(stock, HAZARDS[trait]).cost - judged(stock, Hazards()).cost for stock in rootstocks().values()
    }
    unknown = [cost[stock.id] for stock in rootstocks().values() if trait not in stock.findings]
    known = [cost[stock.id] for stock in rootstocks().values() if trait in stock.findings]
    assert unknown
    assert min(unknown) >= max(known) - 1e-12
    assert min(known) < min(unknown)


def test_unknown_roots_are_no_better_than_known_ones() -> None:
    injury = (0.0, 0.05, 0.15, 0.4)
    unknown = root_cold_share({}, injury)
    assert unknown == root_cold_share({"hardiness": "tender", "hardiness_root": "tender"}, injury)
    assert root_cold_share({"hardiness": "hardy"}, injury) > root_cold_share(
        {"hardiness": "hardy", "hardiness_root": "hardy"}, injury
    )


def test_the_reason_for_a_stock_is_told() -> None:
    told = judged(rootstocks()["g-41"], Hazards(replant=True, fire_blight=0.8)).training
    assert told[0].code == "stock_stands_hazards"
    assert "fire blight and ground where apple or pear grew before" in told[0].words
    assert "stock_union_breaks" in {one.code for one in told}
    assert judged(rootstocks()["mm-106"], Hazards(replant=True)).training[0].code == "stock_stands_in_part"


def test_a_tree_grows_and_comes_to_bear() -> None:
    stock, form = rootstocks()["mm-106"], tree_forms()["bush"]
    trees = [tree_size(PLAIN, stock, form, age_years=age) for age in (0, 2, 5, 10, 30)]
    heights = [tree.height_m.likely for tree in trees]
    crops = [tree.yearly_crop_kg.likely for tree in trees]
    assert heights == sorted(heights)
    assert heights[0] == pytest.approx(1.2)
    assert crops[:2] == [0.0, 0.0]
    assert crops == sorted(crops)
    grown = tree_size(PLAIN, stock, form)
    assert heights[-1] == pytest.approx(grown.height_m.likely, rel=0.02)


def test_vigour_soil_pruning_and_ignorance() -> None:
    stock, form = rootstocks()["mm-106"], tree_forms()["untrained"]

    def height(scion: ScionGrowth, **how: object) -> float:
        return tree_size(scion, stock, form, **how).height_m.likely  # type: ignore[arg-type]  # named arguments

    assert height(ScionGrowth(vigour=5.0)) > height(ScionGrowth(vigour=3.0)) > height(ScionGrowth(vigour=1.0))
    assert height(PLAIN, soil="poor") < height(PLAIN) < height(PLAIN, soil="fertile")
    assert height(ScionGrowth(triploid=True)) > height(ScionGrowth())
    bush = tree_forms()["bush"]
    assert tree_size(PLAIN, stock, bush, pruned=False).height_m.likely > tree_size(PLAIN, stock, bush).height_m.likely
    known, unknown = tree_size(PLAIN, stock, bush).height_m, tree_size(PLAIN, None, bush).height_m
    assert unknown.high / unknown.low > known.high / known.low


def test_upkeep_of_a_planting() -> None:
    forms, stocks = tree_forms(), rootstocks()
    trees = [
        tree_size(PLAIN, stocks["m-9"], forms["dwarf-bush"], keep_height_m=2.4),
        tree_size(PLAIN, stocks["mm-106"], forms["bush"]),
    ]
    year = upkeep(trees, persons=2)
    assert year.trees_with_ladder == 1
    assert year.trees_with_support == 2
    low, high = year.pruning_hours_a_year
    assert (low, high) == (1.1, 2.3)  # 0.4 to 0.8 and 0.75 to 1.5 hours, rounded
    assert year.yearly_crop_kg is not None
    assert year.yearly_crop_kg.likely == pytest.approx(sum(tree.yearly_crop_kg.likely for tree in trees), abs=0.1)
    assert any("deer" in note.words for note in year.notes)


@pytest.mark.parametrize("vigour", [1.0, 3.0, 5.0])
def test_a_tree_of_a_form_that_takes_no_ladder_takes_none(vigour: float) -> None:
    """The form and the tree say the same: a dwarf bush is picked from the ground."""
    seen = set()
    for wishes in (TreeWishes(), TreeWishes(against_fence=True), TreeWishes(in_pot=True)):
        for choice in tree_choices(ScionGrowth(vigour=vigour), wishes):
            if tree_forms()[choice.form].ladder == "never":
                seen.add(choice.form)
                assert not choice.size.ladder, choice.form
    assert seen
