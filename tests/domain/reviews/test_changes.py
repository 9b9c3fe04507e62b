"""What a review would change: a form mends its own cuts and nothing else, and a tree gives way to one of its use."""

from typing import Any, get_args

import msgspec
import pytest
from msgspec.structs import replace

from domain.fruit.bearing import BEARING_HABITS, bears_on_tips
from domain.fruit.complaints import Complaint
from domain.planting_list.tree_worth import uses_of
from domain.reviews.cause_facts import TreeFacts
from domain.reviews.causes import Cause
from domain.reviews.causes_told import PLAIN_CAUSES, what_is_told
from domain.reviews.cures import prescribed
from domain.reviews.review_answer import Change, ChangeSentenceCode, LikelyCause, PlantingListReview
from domain.reviews.review_request import Feeding, PlantingListReviewRequest, Pruning
from domain.reviews.reviews import review
from domain.tables.tree_forms import tree_forms
from domain.tables.words import say, texts
from tests import shared

KENT = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40}
NEW_YORK = {"latitude": 42.9, "longitude": -77.0, "elevation_m": 150}
OHIO = {"latitude": 40.8, "longitude": -81.9, "elevation_m": 310}
ESPALIER = {"cultivar": "Worcester Pearmain", "tree_form": "espalier", "year_planted": 2012}


def answered(site: dict[str, Any], *trees: dict[str, Any], **more: Any) -> PlantingListReview:
    asked = {"site": site, "trees": trees, "as_of": "2026-11-29", **more}
    request = msgspec.convert(asked, PlantingListReviewRequest)
    return review(request, shared.catalogue(), shared.conditions(request.site))


def pruned(found: PlantingListReview) -> list[tuple[str, str | None]]:
    return sorted((one.code, one.of) for one in found.changes if one.change == "prune")


def test_a_tree_in_an_unfit_form_is_still_told_to_cut_out_its_cankers() -> None:
    found = answered(KENT, {**ESPALIER, "label": "wall", "complaints": ["dieback"], "signs": ["sunken_bark"]})
    assert pruned(found) == [("canker_pruning", "wall"), ("change_other_form", "wall")]


def test_a_tree_of_the_same_name_keeps_its_advice() -> None:
    """Neither has a label; one is in an unfit form and one is a bush that dies back."""
    bush = {"cultivar": "Worcester Pearmain", "tree_form": "bush", "year_planted": 2012}
    bush |= {"complaints": ["dieback"], "signs": ["sunken_bark"]}
    found = answered(KENT, ESPALIER, bush)
    assert [code for code, _ in pruned(found)] == ["canker_pruning", "change_other_form"]


def test_another_form_is_told_in_place_of_other_cuts() -> None:
    found = answered(KENT, {**ESPALIER, "label": "wall", "pruning": "hard", "sun_hours": 8, "complaints": ["no_bloom"]})
    assert [cause.cause for cause in found.trees[0].likely_causes][:1] == ["pruned_wrongly"]
    assert pruned(found) == [("change_other_form", "wall")]


@pytest.mark.parametrize("habit", [habit for habit in BEARING_HABITS if bears_on_tips(habit)])
def test_forms_that_are_advised_suit_every_habit_that_is_told_so(habit: str) -> None:
    forms = tree_forms()
    words = say("change_other_form", tree="It", form="unfit form").words
    named = {form.id for form in forms.values() if f"a {form.name} " in words or f"a {form.name}." in words}
    assert named == {"bush", "half-standard"}
    assert all(habit in forms[form].bearing_habits for form in named)


def test_a_tree_gives_way_for_health_to_one_of_its_use() -> None:
    """Of all that resist there a cider apple is worth most, and Gala was planned to be eaten."""
    names = ["Bramley's Seedling", "Gala", "Fuji", "Rhode Island Greening"]
    found = answered(NEW_YORK, *({"cultivar": name, "state": "planned"} for name in names))
    (change,) = [one for one in found.changes if one.code == "change_replace_for_health"]
    assert change.of == "Gala"
    assert uses(change) & uses_of(shared.tables().by_id["gala"])


def uses(change: Change) -> frozenset[str]:
    assert change.to is not None
    assert change.to.id is not None
    return uses_of(shared.tables().by_id[change.to.id])


PAIR = ({"cultivar": "Discovery", "label": "first"}, {"cultivar": "James Grieve"})


def left(found: PlantingListReview) -> tuple[str, str, list[tuple[str, str]]]:
    return found.verdict, found.said.code, [(one.change, one.code) for one in found.changes]


def test_only_where_nothing_is_complained_of_nothing_needs_mending() -> None:
    found = answered(KENT, *PAIR)
    assert left(found) == ("sound", "review_sound", [("leave_as_it_is", "change_leave_as_it_is")])


def test_where_no_cause_is_sure_the_grower_is_sent_to_look_first() -> None:
    """Dark bark at the ground is of collar rot, of borers or of what gnaws: three works, none of them sure."""
    told = {"complaints": ["damaged_bark"], "signs": ["dark_bark_at_the_ground"]}
    found = answered(KENT, PAIR[0] | told, PAIR[1])
    assert left(found) == (
        "sound",
        "review_sound_with_complaints",
        [("leave_as_it_is", "change_find_out_first")],
    )
    tree = found.trees[0]
    assert tree.judgement == "watch"
    assert tree.ask_next
    assert max(cause.probability for cause in tree.likely_causes) < 0.5


def test_a_sure_cause_without_a_change_is_met_by_hand() -> None:
    """Rust of red cedars: what helps is to have none of them near, and that changes no tree of the planting."""
    found = answered(OHIO, PAIR[0] | {"complaints": ["spotted"], "signs": ["orange_spots"]}, PAIR[1])
    assert found.trees[0].likely_causes[0].cause == "disease:cedar_apple_rust"
    assert left(found) == (
        "sound",
        "review_sound_with_complaints",
        [("leave_as_it_is", "change_by_hand_alone")],
    )


def suffixes_of_what_is_told() -> set[str]:
    """What may stand behind the code of a cause: whatever `what_is_told` may say of it."""
    told = replace(TreeFacts(pollinated=0.5), age=9.0, stock_percent=30.0, sun_hours=5.0)
    facts = [
        replace(told, pruning=pruning, on_tips=on_tips, feeding=feeding)
        for pruning in (None, *get_args(Pruning))
        for feeding in get_args(Feeding)
        for on_tips in (False, True)
    ]
    causes = [Cause(complaint, cause, 1.0) for complaint in get_args(Complaint) for cause in PLAIN_CAUSES]
    return {what_is_told(cause, each) for cause in causes for each in facts} - {""}


def test_what_may_stand_behind_a_code_is_found() -> None:
    assert suffixes_of_what_is_told() == {"_bark", "_fed", "_hard", "_never", "_tips", "_tips_hard", "_told"}


def test_all_that_is_done_by_hand_is_in_the_contract() -> None:
    """A cause that asks for work tells it by its sentence; that must be one of the codes of a change."""
    by_hand = {code for code in texts() if code.startswith("by_hand_")}
    told_suffixes = suffixes_of_what_is_told()
    for cause in PLAIN_CAUSES:
        said = say(f"cause_{cause}")
        told = LikelyCause(
            complaint="no_bloom",
            cause=cause,
            probability=1.0,
            said=said,
            find_out=said,
            by_hand=say(f"by_hand_{cause}"),
        )
        if prescribed([told], 0.5, label_doubted=False):
            forms = {f"by_hand_{cause}{suffix}" for suffix in ("", *told_suffixes)} & by_hand
            assert forms <= set(get_args(ChangeSentenceCode)), cause


def test_a_tree_that_never_ripens_there_makes_a_planting_that_will_not_crop() -> None:
    found = answered(
        {"latitude": 64.1, "longitude": -21.9, "elevation_m": 30}, {"cultivar": "Fuji", "year_planted": 2012}
    )
    assert (found.verdict, found.whole.years_with_enough_in_ten) == ("will_not_crop", 0.0)


def test_nothing_is_grafted_onto_a_tree_whose_label_is_doubted() -> None:
    seen = [{"event": "first_ripe", "date": "2026-02-05"}]
    found = answered(
        {"latitude": -41.13, "longitude": -71.3, "elevation_m": 790},
        {"cultivar": "Fuji", "year_planted": 2012, "seen": seen},
        {"cultivar": "Gala", "year_planted": 2012},
    )
    assert [one.change for one in found.changes if one.of == "Fuji"] == ["identify"]


WET_OLD_GROUND = {"drainage": "poor", "ph": 8.3, "old_orchard": True, "sun_hours": 8}


def test_a_stock_that_suffers_gives_way_though_none_is_known_to_stand_all_that_the_ground_holds() -> None:
    """MM.106 takes crown rot where water stands; M.116 stands that, and nobody tells how it stands lime."""
    found = answered(
        {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40, "ground": WET_OLD_GROUND},
        {"cultivar": "Discovery", "state": "planned", "rootstock": "MM.106"},
        {"cultivar": "Katy", "state": "planned"},
    )
    told = [(one.code, one.of, one.values["hazards"], one.values["rootstocks"]) for one in found.changes[:2]]
    assert told == [
        ("change_order_on_stock", "Katja", ("wet_ground",), ("M.116",)),
        ("change_other_stock", "Discovery", ("wet_ground",), ("M.116",)),
    ]


def test_a_cultivar_that_gives_way_is_not_ordered_on_another_stock_or_for_another_place() -> None:
    found = answered(
        {"latitude": 45.0, "longitude": -93.2, "elevation_m": 260, "ground": {"drainage": "poor"}},
        {"cultivar": "Cripps Pink", "state": "planned", "rootstock": "MM.106", "sun_hours": 2},
        {"cultivar": "Haralson", "state": "planned", "rootstock": "MM.106"},
    )
    told = [(one.change, one.of) for one in found.changes]
    assert ("replace", "Cripps Pink") in told
    assert {"other_stock", "move"} & {change for change, of in told if of == "Cripps Pink"} == set()
    assert ("other_stock", "Haralson") in told


def test_a_tree_that_gives_way_for_its_place_does_not_give_way_again_for_health() -> None:
    """In the south of Florida nobody knows whether most cultivars get their chill."""
    found = answered(
        {"latitude": 28.6, "longitude": -81.8, "elevation_m": 30},
        *[{"cultivar": name, "state": "planned"} for name in ("Adams's Pearmain", "Anna", "Adersleber Kalvill")],
    )
    replaced = [one.of for one in found.changes if one.change == "replace"]
    assert {"Adams's Pearmain", "Adersleber Kalvill"} <= set(replaced)
    assert len(replaced) == len(set(replaced))


def test_where_nothing_does_better_nothing_is_called_well() -> None:
    found = answered(
        {"latitude": 45.0, "longitude": -93.2, "elevation_m": 260},
        {"cultivar": "Cripps Pink", "state": "planned"},
        available=[],
    )
    assert [(one.change, one.code) for one in found.changes] == [("leave_as_it_is", "change_none_known")]


def test_a_weak_planting_without_a_cure_is_not_called_well() -> None:
    """The best that there is in the middle of Florida has enough in fewer than half of its years."""
    found = answered(
        {"latitude": 28.6, "longitude": -81.8, "elevation_m": 30},
        *[{"cultivar": name} for name in ("Ein Shemer", "Dorsett Golden", "Tropic Sweet")],
    )
    assert found.verdict == "weak"
    assert [(one.change, one.code) for one in found.changes] == [("leave_as_it_is", "change_none_known")]
