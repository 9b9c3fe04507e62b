"""Causes of a complaint follow what is told of the tree and what its site makes likely."""

from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from domain.fruit.complaints import CAUSES_OF
from domain.fruit.signs import PARTS_OF, SIGNS, speaks_of
from domain.reviews.cause_facts import FIGURES, TreeFacts
from domain.reviews.cause_odds import weigher
from domain.reviews.causes import likely_causes
from domain.reviews.causes_told import PLAIN_CAUSES, _asked_next
from domain.reviews.cures import cure, prescribed
from domain.reviews.orchard import orchard
from domain.reviews.planting import planting
from domain.reviews.review_answer import LikelyCause, PlantingListReview
from domain.reviews.review_request import PlantingListReviewRequest
from domain.reviews.reviews import review
from domain.reviews.tree_facts import tree_facts
from domain.tables.words import say
from tests import shared

USUAL = TreeFacts(
    pollinated=0.5,
    lost=dict.fromkeys(("frost_at_bloom", "winter_chill", "pollination"), 0.2),
    insects={"codling_moth": 0.4},
)


def chance(complaint: str, cause: str, facts: TreeFacts) -> float:
    found = {one.code: one.probability for one in likely_causes(complaint, facts)}  # type: ignore[arg-type]  # as told
    return found.get(cause, 0.0)


@pytest.mark.parametrize("complaint", sorted(CAUSES_OF))
def test_shares_leave_room_for_what_nobody_listed(complaint: str) -> None:
    found = likely_causes(complaint, USUAL)  # type: ignore[arg-type]  # a complaint of the table
    assert 0.5 < sum(one.probability for one in found) < 1
    assert [one.probability for one in found] == sorted((one.probability for one in found), reverse=True)


@pytest.mark.parametrize(
    ("complaint", "cause", "told"),
    [
        ("no_bloom", "too_young", {"age": 2.0, "bears_from": 4.0}),
        ("no_bloom", "pruned_wrongly", {"pruning": "hard"}),
        ("no_bloom", "pruned_wrongly", {"pruning": "moderate", "on_tips": True}),
        ("spotted", "sunburn", {"very_hot_days": 60.0}),
        ("ailing_leaves", "leaf_mottle", {"mottles": True}),
        ("ailing_leaves", "disease:scab", {"crab": True}),
        ("leaves_drop", "disease:scab", {"crab": True}),
        ("no_bloom", "too_shaded", {"sun_hours": 3.0}),
        ("no_bloom", "too_vigorous", {"feeding": "much"}),
        ("bloom_but_no_fruit", "no_partner", {"pollinated": 0.05}),
        ("bloom_but_no_fruit", "frost_took_the_bloom", {"lost": {"frost_at_bloom": 0.7}}),
        ("bloom_but_no_fruit", "too_little_chill", {"lost": {"winter_chill": 0.9}}),
        ("leaves_drop", "wet_soil", {"drainage": "poor"}),
        ("leaves_drop", "wet_soil", {"texture": "clayey"}),
        ("small_fruit", "drought", {"irrigated": False, "water": 0.4}),
        ("small_fruit", "drought", {"water": 0.4}),
        ("small_fruit", "nutrition", {"ph": 8.2}),
        ("small_fruit", "nutrition", {"ph": 4.8}),
        ("no_bloom", "salt_spray", {"salt_spray": True}),
        ("dieback", "salt_spray", {"salt_spray": True}),
        ("dieback", "transplant_shock", {"age": 0.5}),
        ("dieback", "disease:fire_blight", {"diseases": {"fire_blight": 0.9}}),
        ("wormy", "insect:plum_curculio", {"insects": {"plum_curculio": 0.5}}),
        ("crops_every_other_year", "biennial", {"biennial": 0.9}),
    ],
)
def test_a_told_fact_raises_its_cause(complaint: str, cause: str, told: dict[str, object]) -> None:
    facts = replace(USUAL, **told)
    assert chance(complaint, cause, facts) > chance(complaint, cause, USUAL)


@pytest.mark.parametrize(
    ("complaint", "cause", "told"),
    [
        ("small_fruit", "drought", {"irrigated": True}),
        ("small_fruit", "drought", {"irrigated": False, "water": 1.0}),
        ("leaves_drop", "wet_soil", {"texture": "sandy"}),
        ("leaves_drop", "wet_soil", {"texture": "clayey", "drainage": "good"}),
    ],
)
def test_a_told_fact_of_the_ground_lowers_its_cause(complaint: str, cause: str, told: dict[str, object]) -> None:
    facts = replace(USUAL, **told)
    assert chance(complaint, cause, facts) < chance(complaint, cause, USUAL)


@pytest.mark.parametrize("complaint", ["outgrew_its_place", "small_fruit"])
@pytest.mark.parametrize("pruning", ["moderate", "hard"])
def test_cuts_that_take_bloom_are_behind_no_complaint_but_of_bloom(complaint: str, pruning: str) -> None:
    """Common practice, no source: a tree that bears on its tips crops less for cuts, and grows as others do."""
    others = replace(USUAL, pruning=pruning)
    bearing_on_tips = replace(others, on_tips=True, form_unfit=True)
    assert chance(complaint, "pruned_wrongly", bearing_on_tips) == chance(complaint, "pruned_wrongly", others)
    assert chance("no_bloom", "pruned_wrongly", bearing_on_tips) > 2 * chance("no_bloom", "pruned_wrongly", others)


def test_many_hot_days_scald_bark_and_few_do_not_speak_against_it() -> None:
    """Winters do as well: University of Kentucky, "Sunscald injury to the lower trunk on apple", undated.

    Heat: Hauser K., "Sunscreen", Kuffel Creek Apple Nursery (Riverside, California), 2010, of apples at over 100 F.
    """
    hot, cool = replace(USUAL, very_hot_days=60.0), replace(USUAL, very_hot_days=0.0)
    few = replace(USUAL, very_hot_days=1.0)
    assert likely_causes("damaged_bark", few) == likely_causes("damaged_bark", cool)
    assert chance("damaged_bark", "sunburn", hot) > 2 * chance("damaged_bark", "sunburn", cool)
    assert chance("spotted", "sunburn", hot) > 3 * chance("spotted", "sunburn", cool)


@pytest.mark.parametrize("name", ["Honeycrisp", "DAS-10", "MINNB42"])
def test_leaves_of_sports_mottle_as_those_of_their_cultivar(name: str) -> None:
    found = reviewed(cultivar=name, complaints=["ailing_leaves"], as_of="2026-07-29").trees[0]
    assert "leaf_mottle" in {one.cause for one in found.likely_causes}


def test_photographs_are_asked_for_whatever_complaint_is_told_first() -> None:
    """Deep shade is cause enough of no bloom; of what spots the fruit nothing is known."""
    told: dict[str, Any] = {"sun_hours": 2.0, "year_planted": 2005, "pruning": "moderate", "rootstock": "M26"}

    def asks(*complaints: str) -> bool:
        found = reviewed(complaints=list(complaints), **told).trees[0]
        return "ask_photographs" in {one.code for one in found.ask_next}

    assert (asks("no_bloom"), asks("spotted")) == (False, True)
    assert asks("no_bloom", "spotted")
    assert asks("spotted", "no_bloom")


def test_photographs_are_asked_for_where_no_cause_is_likely_enough_to_be_told() -> None:
    (asked,) = _asked_next([], [], [], USUAL, unsure=True)
    assert asked.code == "ask_photographs"
    sticky = replace(USUAL, signs=("sticky_leaves",))
    seen = [one for one in likely_causes("ailing_leaves", sticky) if one.code == "aphids"]
    assert "ask_photographs" not in {one.code for one in _asked_next(seen, seen, [], sticky, unsure=True)}


def test_photographs_are_asked_for_of_coarse_signs_too() -> None:
    spots = replace(USUAL, signs=("spots_on_leaves",))
    likely = list(likely_causes("leaves_drop", spots)[:2])
    assert "ask_photographs" in {one.code for one in _asked_next(likely, likely, [], spots, unsure=False)}


ASKED_OF_CIRCUMSTANCES = frozenset({"ask_cultivar", "ask_year_planted", "ask_course", "ask_foot_of_trunk"})


@pytest.mark.parametrize(
    ("told", "asked"),
    [
        ({"complaints": ["dieback"]}, {"ask_year_planted", "ask_course", "ask_foot_of_trunk"}),
        ({"complaints": ["dieback"], "year_planted": 2010}, {"ask_course", "ask_foot_of_trunk"}),
        ({"complaints": ["dieback"], "cultivar": None, "kind": "apple"}, ASKED_OF_CIRCUMSTANCES),
        ({"complaints": ["spotted"], "year_planted": 2010}, set()),
        ({"complaints": ["no_bloom"], "sun_hours": 2.0, "year_planted": 2005, "rootstock": "M26"}, set()),
    ],
)
def test_circumstances_are_asked_for_where_they_were_not_told(told: dict[str, Any], asked: set[str]) -> None:
    """And where no cause is likely enough: deep shade is."""
    found = reviewed(**told).trees[0]
    assert {one.code for one in found.ask_next} & ASKED_OF_CIRCUMSTANCES == asked


def test_a_newly_planted_tree_is_likelier_to_want_water() -> None:
    """artevos, "Young trees need a lot of water", 2016: their roots do not reach where the soil is moist."""
    new, settled = replace(USUAL, age=0.5), replace(USUAL, age=5.0)
    odds = [
        chance("leaves_drop", "drought", one) / (1 - chance("leaves_drop", "drought", one)) for one in (new, settled)
    ]
    assert odds[0] > 1.5 * odds[1]
    watered = replace(new, irrigated=True)
    assert chance("leaves_drop", "drought", watered) < chance("leaves_drop", "drought", new) / 5


def test_leaves_of_a_newly_planted_tree_seldom_fall_of_scab() -> None:
    """Ask Extension 269578 (Oregon), 2015: the fungus lives through winter in fallen leaves, not in the tree."""
    pressed = replace(USUAL, diseases={"scab": 0.5})
    new, settled = (replace(pressed, age=age) for age in (0.5, 5.0))
    assert chance("leaves_drop", "disease:scab", new) < chance("leaves_drop", "disease:scab", settled) / 1.3
    weigh = weigher("disease:scab", "spotted")
    assert weigh(new) == weigh(settled)


def test_spots_are_likelier_bitter_pit_of_cultivars_known_for_it() -> None:
    known = replace(USUAL, pits=True)
    assert chance("spotted", "nutrition", known) > 1.5 * chance("spotted", "nutrition", USUAL)
    assert chance("leaves_drop", "nutrition", known) == chance("leaves_drop", "nutrition", USUAL)


@pytest.mark.parametrize(("name", "pits"), [("Honeycrisp", True), ("Bramley's Seedling", True), ("Discovery", False)])
def test_cultivars_are_known_for_bitter_pit(name: str, pits: bool) -> None:
    asked = {"site": KENT, "trees": [{"cultivar": name}], "as_of": "2026-11-29"}
    request = msgspec.convert(asked, PlantingListReviewRequest)
    stands = orchard(
        planting(request, shared.catalogue().tables.names), shared.catalogue(), shared.conditions(request.site)
    )
    assert tree_facts(stands, 0).pits == pits


def test_spots_of_crab_apples_are_no_likelier_scab() -> None:
    """Services name it of their leaves; of fruit that is hardly eaten nobody counts spots."""
    assert chance("spotted", "disease:scab", replace(USUAL, crab=True)) == chance("spotted", "disease:scab", USUAL)


@pytest.mark.parametrize("kind", ["apple", "crab_apple"])
def test_a_crab_apple_is_known_as_one(kind: str) -> None:
    asked = {"site": {"latitude": 45.0, "longitude": -93.0}, "trees": [{"cultivar": None, "kind": kind}]}
    request = msgspec.convert(asked, PlantingListReviewRequest)
    made = planting(request, shared.catalogue().tables.names)
    facts = tree_facts(orchard(made, shared.catalogue(), shared.conditions(request.site)), 0)
    assert facts.crab == (kind == "crab_apple")


def test_salt_is_a_cause_only_where_it_is_told() -> None:
    assert chance("no_bloom", "salt_spray", USUAL) == 0.0
    assert chance("no_bloom", "salt_spray", replace(USUAL, salt_spray=False)) == 0.0
    good = replace(USUAL, ph=6.5)
    assert chance("small_fruit", "nutrition", good) == chance("small_fruit", "nutrition", USUAL)


def test_a_tree_that_is_served_is_not_told_to_want_a_partner() -> None:
    assert chance("bloom_but_no_fruit", "no_partner", replace(USUAL, pollinated=0.95)) < 0.06


def test_the_trouble_with_partners_is_told_by_its_kind() -> None:
    facts = replace(USUAL, pollinated=0.1, partner_trouble="sterile_or_same_pollen")
    assert chance("bloom_but_no_fruit", "sterile_or_same_pollen", facts) > 0.2
    assert chance("bloom_but_no_fruit", "no_partner", facts) == 0


def test_an_insect_that_does_not_live_here_is_no_cause() -> None:
    assert chance("wormy", "insect:apple_maggot", replace(USUAL, insects={"codling_moth": 0.5})) == 0


KENT = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}
SEVILLE = {"latitude": 37.4, "longitude": -5.9, "elevation_m": 12}


def reviewed(as_of: str = "2026-11-29", site: dict[str, Any] = KENT, **told: Any) -> PlantingListReview:
    tree = {"cultivar": "Discovery", "complaints": ["no_bloom"], **told}
    request = {"site": site, "trees": [tree, {"cultivar": "James Grieve"}], "as_of": as_of}
    asked = msgspec.convert(request, PlantingListReviewRequest)
    return review(asked, shared.catalogue(), shared.conditions(asked.site))


@pytest.mark.parametrize(
    ("told", "cause", "asks"),
    [
        ({"pruning": "hard"}, "pruned_wrongly", "find_out_pruned_wrongly_tips_hard"),
        ({"cultivar": "Gala", "pruning": "hard"}, "pruned_wrongly", "find_out_pruned_wrongly_hard"),
        ({"pruning": "none"}, "pruned_wrongly", "find_out_pruned_wrongly_never"),
        ({}, "pruned_wrongly", "find_out_pruned_wrongly"),
        ({"cultivar": "Worcester Pearmain", "pruning": "moderate"}, "pruned_wrongly", "find_out_pruned_wrongly_tips"),
        ({"year_planted": 2025, "rootstock": "M25"}, "too_young", "find_out_too_young_told"),
        ({"year_planted": 2025}, "too_young", "find_out_too_young"),
        ({"sun_hours": 3.0}, "too_shaded", "find_out_too_shaded_told"),
    ],
)
def test_what_is_told_is_not_asked(told: dict[str, Any], cause: str, asks: str) -> None:
    found = {one.cause: one for one in reviewed(**told).trees[0].likely_causes}
    assert found[cause].find_out.code == asks


def test_a_tree_that_is_cut_hard_is_not_to_be_thinned() -> None:
    found = {one.cause: one for one in reviewed(cultivar="Gala", pruning="hard").trees[0].likely_causes}
    assert found["pruned_wrongly"].by_hand.code == "by_hand_pruned_wrongly_hard"


def test_a_bearer_on_tips_that_is_cut_hard_keeps_its_tips() -> None:
    found = {one.cause: one for one in reviewed(pruning="hard").trees[0].likely_causes}
    assert found["pruned_wrongly"].by_hand.code == "by_hand_pruned_wrongly_tips_hard"


def test_a_bloom_seen_early_is_likelier_to_have_frozen() -> None:
    """Between mid-April and mid-May the nights grow milder; no records of the spring are told."""

    def frost(day: str) -> float:
        seen = [{"event": "full_bloom", "date": f"2026-{day}"}]
        told = reviewed(complaints=["bloom_but_no_fruit"], seen=seen)
        return sum(one.probability for one in told.trees[0].likely_causes if one.cause == "frost_took_the_bloom")

    assert frost("04-12") > frost("05-14") + 0.05


def test_a_belt_against_salt_asks_for_care_with_digging() -> None:
    """Well drained ground, so that nobody is told to drain it."""
    ground = {"salt_spray": True, "wind": "exposed", "irrigated": True, "drainage": "good"}
    site = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40, "ground": ground}
    trees = [{"cultivar": "Liberty", "complaints": ["leaves_drop"]}, {"cultivar": "James Grieve"}]
    request = {"site": site, "trees": trees, "as_of": "2026-11-29"}
    asked = msgspec.convert(request, PlantingListReviewRequest)
    found = review(asked, shared.catalogue(), shared.conditions(asked.site))
    told = {one.cause: one.by_hand.code for one in found.trees[0].likely_causes}
    assert told["salt_spray"] == "by_hand_salt_spray"
    assert "wet_soil" not in told
    assert {one.change for one in found.changes} == {"leave_as_it_is"}
    assert "digging" in {one.code for one in found.cautions}


def test_every_plain_cause_has_a_cure_but_salt_and_those_that_want_another_tree_or_place() -> None:
    """Partners and room have changes of their own (`add_tree`, `add_scion`, `move`, `remove`)."""
    elsewhere = {"no_partner", "partner_blooms_apart", "sterile_or_same_pollen", "planted_too_close"}
    without = {cause for cause in PLAIN_CAUSES if cure(plain(cause)) is None}
    assert without == elsewhere | {"salt_spray", "too_little_chill", "too_late_for_the_season"}


def plain(cause: str, probability: float = 0.5) -> LikelyCause:
    said, by_hand = say(f"cause_{cause}"), say(f"by_hand_{cause}")
    return LikelyCause(
        complaint="no_bloom", cause=cause, probability=probability, said=said, find_out=said, by_hand=by_hand
    )


@pytest.mark.parametrize(
    ("causes", "kind"),
    [
        (("sunburn", "borers"), None),
        (("animals", "wounds"), None),
        (("planted_too_deep", "aphids"), None),
        (("too_vigorous", "pruned_wrongly"), None),
        (("biennial", "needs_thinning"), "thin"),
        (("wet_soil", "crown_rot"), "drain"),
        (("frost_took_the_bloom", "bees_weather"), "wait"),
    ],
)
def test_causes_count_together_only_where_one_work_mends_them(causes: tuple[str, str], kind: str | None) -> None:
    first, second = plain(causes[0], 0.31), plain(causes[1], 0.3)
    assert cure(first) == cure(second)
    assert prescribed([first, second], 0.5, label_doubted=False) == ({} if kind is None else {kind: first})


def test_cautions_are_of_what_is_advised() -> None:
    """Nothing is planted: no room is asked about; frost at bloom is told of: no fire under a cover."""
    told = {one.code for one in reviewed(complaints=["bloom_but_no_fruit"], pruning="hard").cautions}
    assert "ask_locally" not in told
    assert {"ladders", "frost_nights"} <= told


@pytest.mark.parametrize(
    ("complaint", "sign", "cause"),
    [
        ("spotted", "orange_spots", "disease:cedar_apple_rust"),
        ("dieback", "gnawed_bark", "animals"),
        ("damaged_bark", "white_wool", "aphids"),
        ("ailing_leaves", "strap_shaped_leaves", "herbicide"),
        ("wormy", "winding_trails_in_flesh", "insect:apple_maggot"),
        ("no_bloom", "heavy_crop_last_year", "biennial"),
        ("fruit_rots", "rot_at_the_core", "core_rot"),
    ],
)
def test_a_mark_raises_its_cause_above_all_others(complaint: str, sign: str, cause: str) -> None:
    here = replace(USUAL, diseases={"cedar_apple_rust": 0.3}, insects={"apple_maggot": 0.3, "codling_moth": 0.3})
    seen = replace(here, signs=(sign,))
    assert chance(complaint, cause, seen) > 2 * chance(complaint, cause, here)
    assert likely_causes(complaint, seen)[0].code == cause  # type: ignore[arg-type]  # a complaint of the table


@pytest.mark.parametrize("complaint", ["no_bloom", "bloom_but_no_fruit"])
def test_leaves_that_come_late_and_in_tufts_speak_for_want_of_chill_where_there_is_no_bloom(complaint: str) -> None:
    here = replace(USUAL, lost={"winter_chill": 0.5})
    seen = replace(here, signs=("late_tufted_leaves",))
    assert chance(complaint, "too_little_chill", seen) > 1.5 * chance(complaint, "too_little_chill", here)


def test_a_hint_raises_its_cause_and_speaks_against_no_other() -> None:
    hinted = replace(USUAL, signs=("cold_wet_bloom",))
    raised = chance("bloom_but_no_fruit", "bees_weather", hinted) / chance("bloom_but_no_fruit", "bees_weather", USUAL)
    assert raised > 1.5
    ratio = {
        cause: chance("bloom_but_no_fruit", cause, hinted) / chance("bloom_but_no_fruit", cause, USUAL)
        for cause in ("frost_took_the_bloom", "nutrition")
    }
    assert ratio["frost_took_the_bloom"] == pytest.approx(ratio["nutrition"])


def test_a_sign_of_the_fruit_tells_nothing_of_a_tree_without_bloom() -> None:
    seen = replace(USUAL, signs=("brown_flecks_in_flesh",))
    assert likely_causes("no_bloom", seen) == likely_causes("no_bloom", USUAL)
    assert chance("spotted", "nutrition", seen) > chance("spotted", "nutrition", USUAL)


def test_a_sign_that_goes_with_no_complaint_told_is_said_to() -> None:
    found = reviewed(signs=["brown_flecks_in_flesh"]).trees[0]
    assert [one.code for one in found.contradictions] == ["told_signs_apart"]


def test_leaves_that_fall_in_autumn_are_those_of_autumn_and_in_summer_are_not() -> None:
    def likely(as_of: str) -> float:
        found = reviewed(complaints=["leaves_drop"], as_of=as_of).trees[0].likely_causes
        return sum(one.probability for one in found if one.cause == "autumn")

    assert likely("2026-07-01") == 0.0
    assert likely("2026-11-01") > 0.3


@pytest.mark.parametrize(("site", "day"), [(SEVILLE, "2026-05-25"), (KENT, "2026-04-28"), (KENT, "2026-05-25")])
def test_leaves_that_fall_in_spring_are_not_those_of_autumn(site: dict[str, Any], day: str) -> None:
    asked = msgspec.convert(
        {"site": site, "trees": [{"cultivar": "Discovery", "complaints": ["leaves_drop"]}], "as_of": day},
        PlantingListReviewRequest,
    )
    at = orchard(planting(asked, shared.catalogue().tables.names), shared.catalogue(), shared.conditions(asked.site))
    facts = tree_facts(at, 0)
    assert facts.after_leaf_fall is not None
    assert chance("leaves_drop", "autumn", facts) == 0.0
    assert chance("leaves_drop", "autumn", replace(facts, after_leaf_fall=FIGURES.colours_after_days)) > 0.1


@pytest.mark.parametrize(
    ("complaint", "sign", "cause"),
    [
        ("dieback", "grass_to_the_trunk", "grass_over_roots"),
        ("small_fruit", "heavy_crop_last_year", "biennial"),
        ("dieback", "yellow_between_veins", "nutrition"),
    ],
)
def test_a_mark_of_what_never_brings_a_complaint_speaks_against_nothing(complaint: str, sign: str, cause: str) -> None:
    """What the sign hints at is raised; all else keeps its odds against each other."""
    assert SIGNS[sign].causes[cause] == "mark"  # type: ignore[index]  # a sign of the table
    seen = replace(USUAL, signs=(sign,))
    causes = [row.cause for row in CAUSES_OF[complaint]]
    assert cause not in causes
    told = SIGNS[sign].causes  # type: ignore[index]  # a sign of the table
    silent = [one for one in causes if one not in told and chance(complaint, one, USUAL)]
    hinted = [one for one in causes if one in told]
    moved = {one: chance(complaint, one, seen) / chance(complaint, one, USUAL) for one in silent + hinted}
    assert [moved[one] for one in silent] == pytest.approx([moved[silent[0]]] * len(silent))
    assert all(moved[one] / moved[silent[0]] == pytest.approx(FIGURES.more) for one in hinted)


def test_what_left_its_mark_on_another_part_is_not_confirmed() -> None:
    """Scabs on the fruit are no spots on leaves that fall."""
    told = ["leaves_drop", "spotted"]
    found = reviewed(complaints=told, signs=["corky_scabs"], as_of="2026-06-01").trees[0].likely_causes
    scab = {one.complaint: one.find_out.code for one in found if one.cause == "disease:scab"}
    assert scab == {"leaves_drop": "find_out_disease", "spotted": "find_out_confirmed"}


def test_a_sign_told_twice_is_said_once() -> None:
    (apart,) = reviewed(signs=["brown_flecks_in_flesh"] * 2).trees[0].contradictions
    assert apart.values["signs"] == ("brown_flecks_in_flesh",)


@pytest.mark.parametrize("sign", ["buds_that_never_opened", "brown_flower_centres"])
def test_what_is_asked_beside_a_settled_complaint_is_not_asked_again_for_another(sign: str) -> None:
    """The mark settles why it did not bloom; how young it is stands beside that."""
    told = ["no_bloom", "crops_every_other_year"]
    found = reviewed(complaints=told, signs=[sign], as_of="2026-06-01").trees[0]
    beside = {one.find_out.code for one in found.likely_causes}
    assert {"find_out_seen", "find_out_too_young"} <= beside
    assert found.ask_next
    assert not beside & {one.code for one in found.ask_next}


def test_what_left_its_mark_is_confirmed_and_nothing_more_is_asked() -> None:
    found = reviewed(complaints=["dieback"], signs=["gnawed_bark"], as_of="2026-06-01").trees[0]
    assert found.likely_causes[0].cause == "animals"
    assert found.likely_causes[0].find_out.code == "find_out_seen"
    assert found.ask_next == ()


def test_signs_that_would_part_the_causes_are_asked_for() -> None:
    found = reviewed(complaints=["spotted"]).trees[0]
    (asked,) = [one for one in found.ask_next if one.code == "ask_signs"]
    assert {"corky_scabs", "brown_flecks_in_flesh"} <= set(asked.values["signs"])  # type: ignore[arg-type]  # a list of codes


def test_every_sign_is_of_a_part_whose_complaints_have_its_cause() -> None:
    assert all(any(speaks_of(sign, complaint) for complaint in PARTS_OF) for sign in SIGNS)
    assert set(PARTS_OF) == set(CAUSES_OF)
