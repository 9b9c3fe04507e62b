"""Planting lists for wishes and cultivars judged at a site: chosen, explained, and what holds them back."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.assumptions import Assumption
from domain.common.cautions import Caution
from domain.fruit.kinds import planted_for_fruit
from domain.planting_list.candidates import Candidates, candidates
from domain.planting_list.characters import characters, kinds, rules
from domain.planting_list.choice import POINTS, list_worth, unserved
from domain.planting_list.chosen_list import ChosenList
from domain.planting_list.diversity import BestLists, Character, best_lists
from domain.planting_list.ground import Ground
from domain.planting_list.laid_lists import laid_lists, trees_of
from domain.planting_list.laid_trees import FIGURES as GROUND
from domain.planting_list.laid_trees import LaidTrees
from domain.planting_list.limits import limits
from domain.planting_list.list_answer import AdvisedAgainst, ListCharacter, PlantingList, PlantingLists, Search
from domain.planting_list.list_in_words import in_words
from domain.planting_list.list_request import USUAL_LISTS, Stand
from domain.planting_list.list_verdict import FIGURES as LIST_VERDICT
from domain.planting_list.list_verdict import surest_first
from domain.planting_list.reduction import MARGIN_POINTS
from domain.planting_list.solver import Budget
from domain.planting_list.surest_list import beside, bound_of_sure, lacks_what, may_be_sure, surer_choices
from domain.planting_list.tree_worth import told_near
from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.trees_in_words import laid_out
from domain.planting_list.wishes import Wishes
from domain.pollination.kinship import first_of_each, sport_group
from domain.tables import cautions
from domain.tables.cultivars import Cultivar
from domain.tables.words import assume
from domain.trees.tree_choices import TreeWishes

MOST_ADVISED_AGAINST = 12
CHILL_IS_SHORT_YEARS = 9.0
"""Years of ten with enough winter chill below which a grower may think of breaking the rest of a tree."""


_Found = tuple[BestLists | None, float | None, Sequence[tuple[int, ...]], list[ChosenList]]
"""Lists as they are found, the bound in points, the trees of each as candidates, and each in words."""


def lists_for(wished: Wishes, sited: SitedCultivars, by_id: Mapping[str, Cultivar]) -> PlantingLists:
    """Choose and explain planting lists among cultivars judged at a site. by_id: the catalogue."""
    plot, groups = wished.room.plot, sport_groups(sited.cultivars, by_id)
    stand = stand_of(wished.trees)
    ground = None if plot is None else Ground(plot, stand, wished.room.tree_count, wished.sun_hours, wished.slope)
    found = candidates(wished, sited, by_id, groups, ground)
    taken: tuple[Assumption, ...] = ()
    free = stand_of(wished.trees) == "ground" and not wished.trees.forms
    if ground is not None and _few_find_room(found) and free and ground.wall_m:
        wished = replace(wished, trees=msgspec.structs.replace(wished.trees, against_fence=True))
        trained = candidates(wished, sited, by_id, groups, ground)
        if not _few_find_room(trained):
            found, taken = trained, (assume("space.stand", "fence_where_free_trees_do_not_fit", "fence"),)
    wished = found.wishes
    every = () if found.admission.least_bad else kinds(sited, found.admission.suited & found.admission.eligible)
    offered = rules(every, found.pool[found.planted], found.problem.fixed, told_near(wished, sited))
    budget = Budget()
    best, bound, stands, found_lists = _searched(found, ground, wished.lists, offered, budget)
    if wished.lists < USUAL_LISTS and found_lists and found_lists[0].verdict != "plant":
        # A list that is to be planted may be found after it, and is the first whatever the number asked.
        best, bound, stands, found_lists = _searched(found, ground, USUAL_LISTS, offered, budget)
    best, bound, stands, found_lists = _with_a_sure_one(found, ground, (best, bound, stands, found_lists), budget)
    worth = [] if best is None else [one.choice.worth for one in best.choices]
    order = surest_first([one.verdict for one in found_lists], [one.gives for one in found_lists], worth)
    order = order[: wished.lists]
    best = None if best is None else best.in_order(order)
    stands = [stands[n] for n in order]
    choices = () if best is None else best.choices
    of = [] if best is None else [None if one is None else one.code for one in best.characters]
    rows = [found.pool[found.planted[list(trees)]].tolist() for trees in stands]
    likes = characters(sited, every, of, rows)
    told = tuple(
        in_words(found_lists[n], rank, one.choice.worth, _bounded(like, one.choice.bound if ground is None else None))
        for rank, (n, one, like) in enumerate(zip(order, choices, likes, strict=True), start=1)
    )
    return PlantingLists(
        planting_lists=told,
        best_possible_value=None if bound is None else round(bound / POINTS, 4),
        search=Search(
            cultivars_considered=int(np.unique(found.planted).size),
            could_be_on_a_best_list=choices[0].kept if choices else 0,
            best_proven=all(one.choice.proven for one in choices),
        ),
        limits=limits(wished, found, best, ground, stands[0] if stands else ()),
        advised_against=_advised_against(wished, sited, groups),
        assumptions=(*taken, *(wished.room.assumptions if told and len(told[0].trees) == wished.most_trees else ())),
        warnings=() if ground is None else ground.warnings,
        worth_finding_out=(),
        to_mind=(),
        cautions=_once((*_cautions(found, best, told), *(() if ground is None else ground.cautions))),
    )


def _searched(
    found: Candidates, ground: Ground | None, lists: int, offered: Sequence[Character], budget: Budget
) -> _Found:
    """So many lists as they are found, the bound in points, the trees of each as candidates, and each in words."""
    layouts: Sequence[LaidTrees | None]
    stands: Sequence[tuple[int, ...]]
    best: BestLists | None
    if found.problem.places == 0:
        best, layouts, stands, bound = None, (), (), None
    elif ground is None:
        best = best_lists(found.problem, lists, budget, offered)
        layouts = [None] * len(best.choices)
        stands = [trees_of(found, one.choice.chosen) for one in best.choices]
        bound = max((one.choice.bound for one in best.choices), default=None)
    else:
        laid = laid_lists(found, ground, lists, budget, offered)
        best, layouts, stands, bound = laid.best, laid.layouts, laid.trees, laid.bound
    found_lists = [
        ChosenList(found.wishes, found, trees, laid_out(ground, found, trees, layout))
        for trees, layout in zip(stands, layouts, strict=True)
    ]
    return best, bound, stands, found_lists


def _with_a_sure_one(found: Candidates, ground: Ground | None, searched: _Found, budget: Budget) -> _Found:
    """The lists, with one that is to be planted where none of them is and one is found that is worth enough and brings
    what the first of them does of what was wished.

    A budget that is spent allows one look for it, and none where each list is laid out.
    """
    best, bound, stands, found_lists = searched
    if best is None or not found_lists or any(one.verdict == "plant" for one in found_lists):
        return searched
    sure = may_be_sure(found)
    if sure is None:
        return searched
    most = max(one.choice.worth for one in best.choices)
    for step, surer in enumerate(surer_choices(found, sure, laid=ground is not None)):
        if budget.spent and (step or ground is not None):
            break
        other, _, places, told = _searched(surer, ground, 1, (), budget)
        if other is None or not told or told[0].verdict != "plant":
            continue
        chosen = other.choices[0].choice.chosen
        worth = list_worth(found.problem, chosen)
        if worth < LIST_VERDICT.sure_share * most or lacks_what(found.problem, chosen, best.choices[0].choice.chosen):
            continue
        at_most = max(worth, bound_of_sure(found.problem, sure))
        choice = replace(
            other.choices[0].choice,
            unserved=tuple(unserved(found.problem, chosen)),
            worth=worth,
            bound=at_most,
            proven=at_most < worth + MARGIN_POINTS,
        )
        kept = beside(found.problem, best, chosen)
        with_it = BestLists(
            (replace(other.choices[0], choice=choice), *(best.choices[n] for n in kept)),
            best.every_tree_served,
            (None, *(best.characters[n] for n in kept)),
        )
        sure_one = ChosenList(found.wishes, found, places[0], told[0].laid)
        whole = None if bound is None else max(bound, worth)
        return with_it, whole, [places[0], *(stands[n] for n in kept)], [sure_one, *(found_lists[n] for n in kept)]
    return searched


def _bounded(like: ListCharacter, bound: float | None) -> ListCharacter:
    """The character with what no list of it is worth more than, in points; None on a plot, where layout has a say."""
    return msgspec.structs.replace(like, best_possible_value=None if bound is None else round(bound / POINTS, 4))


def stand_of(trees: TreeWishes) -> Stand:
    """How the wished trees stand."""
    return "pots" if trees.in_pot else "fence" if trees.against_fence else "ground"


def _few_find_room(found: Candidates) -> bool:
    """Whether most of the cultivars that might be planted here have no tree that fits the ground."""
    admitted = found.admission
    wanted = admitted.eligible & admitted.suited & admitted.by_limit["available"] & admitted.by_limit["excluded"]
    fitting = wanted & admitted.by_limit["tree_size"]
    return bool(fitting.sum() <= GROUND.few_find_room * wanted.sum())


def sport_groups(cultivars: tuple[Cultivar, ...], by_id: Mapping[str, Cultivar]) -> NDArray[np.int64]:
    """(n,) a number for each sport group."""
    roots = [sport_group(cultivar, by_id) for cultivar in cultivars]
    return np.unique(np.array(roots), return_inverse=True)[1].astype(np.int64)


def _advised_against(wished: Wishes, sited: SitedCultivars, groups: NDArray[np.int64]) -> tuple[AdvisedAgainst, ...]:
    """What not to plant here: what the caller named first, then what this part of the world tells of, then the rest.

    Among alike ones what is most widely recommended elsewhere stands first; of a group of sports one speaks for those
    that the caller did not name.
    """
    named, told = wished.named, told_near(wished, sited)
    rows = [
        row
        for row, verdict in enumerate(sited.verdict)
        if verdict == "not_here" and (planted_for_fruit(sited.cultivars[row]) or sited.cultivars[row].id in named)
    ]
    rows.sort(
        key=lambda row: (
            sited.cultivars[row].id not in named,
            told is not None and not told[row],
            -sited.cultivars[row].recommended_by,
            row,
        )
    )
    first = first_of_each(rows, groups)
    rows = [row for row in rows if row in first or sited.cultivars[row].id in named]
    return tuple(
        AdvisedAgainst(
            cultivar=sited.name(row),
            id=sited.cultivars[row].id,
            limiting=sited.limiting[row],
            reasons=(sited.said[row],),
        )
        for row in rows[:MOST_ADVISED_AGAINST]
    )


def _once(said: Sequence[Caution]) -> tuple[Caution, ...]:
    return tuple({caution.code: caution for caution in said}.values())


def _cautions(found: Candidates, best: BestLists | None, told: Sequence[PlantingList]) -> tuple[Caution, ...]:
    trees = [tree for one in told for tree in one.trees]
    pots = found.wishes.trees.in_pot
    said = [cautions.HEAVY_POTS if pots else cautions.DIGGING, cautions.WINDFALLS, cautions.RESISTANT_NOT_IMMUNE]
    said.append(cautions.ALLERGY)
    if any(found.sited.chill_years[found.sited.row[tree.id]] < CHILL_IS_SHORT_YEARS for tree in trees):
        said.append(cautions.NO_REST_BREAKING)
    if any(tree.size is None or tree.size.ladder for tree in trees):
        said.append(cautions.LADDERS)
    if any(tree.size is not None and tree.size.support == "wires" for tree in trees):
        said.append(cautions.WIRES)
    if best is not None and any(one.choice.unserved for one in best.choices):
        said.append(cautions.PLANT_HEALTH)  # grafting a partner's branch is then advised
    return tuple(said)
