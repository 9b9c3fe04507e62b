"""Which limits hold the lists back, and what to relax."""

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np
from msgspec.structs import asdict
from numpy.typing import NDArray

from domain.ground.sunlight import FIGURES as SUNLIGHT
from domain.planting_list.candidates import Candidates
from domain.planting_list.diversity import BestLists
from domain.planting_list.ground import Ground
from domain.planting_list.list_answer import Limit, LimitCode, LimitSentenceCode, Relax, RelaxCode
from domain.planting_list.stock import InStock
from domain.planting_list.tree_worth import told_near
from domain.planting_list.trees_around import chance_served
from domain.planting_list.wishes import Wishes
from domain.pollination.pairs import FIGURES as PAIRS
from domain.tables.words import Sentence, Value, say
from domain.traits.fruit_wishes import wished

NAMED = 3
TOLD_WALL_M = 1.0
"""Length of walls from which they are offered: one trained tree."""

_LEAVES_OUT: dict[str, tuple[LimitCode, LimitSentenceCode, LimitSentenceCode, RelaxCode]] = {
    "available": ("available", "available_leaves_out", "available_leaves_out_more", "relax_available"),
    "excluded": ("excluded", "excluded_leaves_out", "excluded_leaves_out_more", "relax_excluded"),
    "uses": ("uses", "uses_leave_out", "uses_leave_out_more", "relax_uses"),
    "tree_size": ("tree_size", "tree_size_leaves_out", "tree_size_leaves_out_more", "relax_tree_size"),
    "picking_window": (
        "picking_window",
        "picking_window_leaves_out",
        "picking_window_leaves_out_more",
        "relax_picking_window",
    ),
}
"""What each limit on the choice leaves out, in words for few and for more than are named, and what to relax."""


_WISH: tuple[LimitCode, LimitSentenceCode, LimitSentenceCode, RelaxCode]
_WISH = ("wishes", "wish_leaves_out", "wish_leaves_out_more", "relax_wish")


def limits(
    wishes: Wishes, found: Candidates, best: BestLists | None, ground: Ground | None = None, trees: Sequence[int] = ()
) -> tuple[Limit, ...]:
    """Every limit that binds, the hardest first. trees: those of the first list, as candidates.

    A limit on the choice binds when, by itself, it keeps out a cultivar worth more than the middle one of the trees
    chosen freely, and no sport of theirs; or when places stay empty, or there is no list.
    """
    listed = () if best is None or not best.choices else best.choices[0].choice.chosen
    value = found.value
    empty = _places_stay_empty(found, listed, len(trees))
    usual = 0.0 if empty else _usual_worth(found, listed, value)
    binding = [*_of_space(wishes, listed, ground, len(trees), empty=empty), *_of_climate(found)]
    chosen = found.problem.group[list(listed)]
    told = told_near(wishes, found.sited)
    had = np.ones(len(value), dtype=np.bool_) if told is None else told  # nobody is sent for what nurseries have not
    leaves_out = _LEAVES_OUT | {wish: _WISH for wish in wished(wishes.fruit) if wish not in _LEAVES_OUT}
    for limit, (code, few, many, relax) in leaves_out.items():
        if limit not in found.admission.by_limit:
            continue
        kept_out = np.flatnonzero(_kept_out(found, limit) & had & (value > usual) & ~np.isin(found.groups, chosen))
        if kept_out.size == 0:
            continue
        rows = _one_of_each_group(found, kept_out[np.argsort(-value[kept_out], kind="stable")])
        more = len(rows) - NAMED
        names = _named(found, rows[:NAMED]) | ({"wish": limit} if code == "wishes" else {})
        said = say(many, **names, more=more) if more > 0 else say(few, **names)
        binding.append(_limit(code, said, say(relax, **names)))
    said_so_far = (
        *binding,
        *(_of_stock(wishes, found, trees) if empty else ()),
        *_of_pollen(wishes, found, best),
        *_of_lists(wishes, best),
    )
    return said_so_far if listed else (*said_so_far, *_of_no_list(wishes, found, said_so_far))


def _of_no_list(wishes: Wishes, found: Candidates, told: Sequence[Limit]) -> list[Limit]:
    """Why there is no list, where no limit by itself is the reason: sports that must stand together, or all at once."""
    rows = [found.sited.row[cultivar_id] for cultivar_id in wishes.must_include]
    groups = [int(found.groups[row]) for row in rows]
    kin = [row for row, group in zip(rows, groups, strict=True) if groups.count(group) > 1]
    if kin:
        return [_limit("space", say("one_cultivar_twice", **_named(found, kin)), say("relax_one_of_them"))]
    admitted = found.admission
    if told or not admitted.eligible.any():  # where nothing blooms, that there is no winter is told instead
        return []
    if not admitted.free.any():
        some = [name for name, allowed in admitted.by_limit.items() if not (allowed | ~admitted.eligible).all()]
        return [_limit("wishes", say("nothing_keeps_all", limits=tuple(some)), say("relax_some_wish"))]
    return [_limit("pollination", say("sources_too_few"), say("relax_pollination"))]


def _limit(limit: LimitCode, said: Sentence, relax: Sentence) -> Limit:
    return Limit(limit=limit, **asdict(said), relax=Relax(**asdict(relax)))


def _named(found: Candidates, rows: Sequence[int]) -> dict[str, Value]:
    """Names and ids of some rows, as values of a sentence."""
    cultivars = [found.sited.cultivars[row] for row in rows]
    return {"cultivars": tuple(one.name for one in cultivars), "ids": tuple(one.id for one in cultivars)}


def _places_stay_empty(found: Candidates, listed: Sequence[int], trees: int) -> bool:
    """Whether more trees would stand if more could be chosen: on a plot, where the sizes chosen leave room for one."""
    wishes, problem = found.wishes, found.problem
    if problem.room is None:
        return trees < wishes.room.tree_count
    if not listed:  # of what could be chosen none is too large
        return not wishes.must_include and not found.admission.but_for("tree_size").any()
    if trees >= wishes.room.tree_count:
        return False
    of_group = np.bincount(problem.group[list(listed)], minlength=int(problem.group.max()) + 1)
    spare = ~problem.fixed & (of_group[problem.group] < problem.trees_of_a_group)
    spare[list(listed)] = False
    used = problem.room[list(listed)].sum()
    return bool(used + problem.room[spare].max(initial=0.0) <= problem.ground)


def _usual_worth(found: Candidates, listed: Sequence[int], value: NDArray[np.float64]) -> float:
    """Worth of the middle tree of those chosen freely."""
    free = [one for one in listed if not found.problem.fixed[one]]
    return float(np.median(value[found.pool[found.planted[free]]])) if free else 1.0


def _kept_out(found: Candidates, limit: str) -> NDArray[np.bool_]:
    """(n,) who is left out by a limit alone; where nothing to be had suits, the suited that are not to be had."""
    admitted = found.admission
    if admitted.least_bad and limit in ("available", "excluded"):
        return np.asarray(admitted.eligible & admitted.suited & ~admitted.by_limit[limit])
    return admitted.but_for(limit)


def _one_of_each_group(found: Candidates, rows: NDArray[np.intp]) -> list[int]:
    """The first of the rows of each sport group, in their order."""
    by_group: dict[int, int] = {}
    for row in rows.tolist():
        by_group.setdefault(int(found.groups[row]), row)
    return list(by_group.values())


def _of_space(wishes: Wishes, listed: Sequence[int], ground: Ground | None, trees: int, *, empty: bool) -> list[Limit]:
    must = len(wishes.must_include)
    if listed and empty:
        asked = wishes.room.tree_count
        said = say("places_stay_empty", empty=asked - trees, places=asked)
        return [_limit("climate", said, say("relax_choice_or_plant_fewer"))]
    if wishes.room.plot is not None:
        if listed:
            return _of_full_ground(wishes, trees, ground)
        if wishes.trees.against_fence and ground is not None and not ground.wall_m:
            return [_limit("space", say("walls_hold_no_tree", hours=SUNLIGHT.least_hours), say("relax_walls"))]
        if empty:
            return []
        said = say("ground_holds_not_what_must_be", cultivars=must) if must else say("ground_holds_no_tree")
        return [_limit("space", said, _more_ground("relax_ground", wishes, ground))]
    if must > wishes.places:
        said = say("places_hold_not_what_must_be", cultivars=must, places=wishes.places)
        return [_limit("space", said, say("relax_what_must_be"))]
    return []


def _of_stock(wishes: Wishes, found: Candidates, trees: Sequence[int]) -> list[Limit]:
    """Of whom no more stand, though places stay empty, because no more are in stock: too few for a group."""
    if wishes.stock is None:
        return []
    stand = Counter(int(found.pool[found.planted[one]]) for one in trees if not found.problem.fixed[one])
    left = {row: _left(wishes.stock.get(found.sited.cultivars[row].id, ()), count) for row, count in stand.items()}
    short = [row for row, more in left.items() if more < wishes.trees_of_each]
    if not short:
        return []
    each, names = wishes.trees_of_each, _named(found, short)
    said = say("stock_is_used_up", **names) if each == 1 else say("stock_has_no_other_group", **names, each=each)
    return [_limit("available", said, say("relax_stock"))]


def _left(items: Sequence[InStock], stand: int) -> float:
    """How many more there are than stand."""
    return sum(math.inf if one.count is None else one.count for one in items) - stand


def _more_ground(code: RelaxCode, wishes: Wishes, ground: Ground | None) -> Sentence:
    """What to relax on full ground: its sunny walls, if it has any and they were not asked for."""
    length = 0.0 if ground is None or wishes.trees.against_fence or wishes.trees.in_pot else ground.wall_m
    return say("relax_ground_by_walls", wall_m=length) if length >= TOLD_WALL_M else say(code)


def _of_full_ground(wishes: Wishes, count: int, ground: Ground | None) -> list[Limit]:
    if count >= wishes.most_trees:
        return [_limit("space", say("number_of_trees_reached", trees=count), say("relax_number_of_trees"))]
    if wishes.trees.in_pot:
        return [_limit("space", say("pots_fill_the_room", trees=count), say("relax_pots"))]
    said = say("ground_full_with_one") if count == 1 else say("ground_full", trees=count)
    return [_limit("space", said, _more_ground("relax_tree_height", wishes, ground))]


def _of_climate(found: Candidates) -> list[Limit]:
    if not found.admission.least_bad:
        return []
    return [_limit("climate", say("no_cultivar_crops_reliably"), say("relax_spot"))]


def _of_pollen(wishes: Wishes, found: Candidates, best: BestLists | None) -> list[Limit]:
    if best is None or not best.choices:
        return []
    choice = best.choices[0].choice
    listed = [int(found.planted[one]) for one in choice.chosen]
    served = dict(zip(listed, chance_served(found.table, listed, found.outside.chance).tolist(), strict=True))
    unsure = dict.fromkeys(int(found.planted[one]) for one in choice.unserved)
    rows = [int(found.pool[one]) for one in unsure if served[one] < PAIRS.effective_chance]
    if not rows:
        return []
    relax = say("relax_pollination_of_one" if wishes.places == 1 else "relax_pollination")
    return [_limit("pollination", say("source_missing_for", **_named(found, list(dict.fromkeys(rows)))), relax)]


def _of_lists(wishes: Wishes, best: BestLists | None) -> list[Limit]:
    offered = 0 if best is None else len(best.choices)
    if not 0 < offered < wishes.lists:
        return []
    return [_limit("lists", say("fewer_lists_than_asked", lists=offered, asked=wishes.lists), say("relax_lists"))]
