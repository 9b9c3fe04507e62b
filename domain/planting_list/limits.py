"""Which limits hold the lists back, and what to relax."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from domain.planting_list.candidates import Candidates, tree_values
from domain.planting_list.diversity import BestLists
from domain.planting_list.list_answer import Binding, Limit
from domain.planting_list.wishes import Wishes

NAMED = 3

_WORDS: dict[str, tuple[Limit, str, str]] = {
    "available": ("available", "What may be had leaves out", "Ask for these elsewhere, or widen what may be had"),
    "excluded": ("excluded", "What is not wanted leaves out", "Take back an exclusion"),
    "uses": ("uses", "The wished uses leave out, or no text tells the use of,", "Name fewer uses, or more than one"),
    "tree_size": (
        "tree_size",
        "The wished height, ladder, pruning or ground, or the rootstocks on sale, leave out",
        "Allow larger trees, pruning, or other rootstocks",
    ),
    "picking_window": ("picking_window", "The wished picking dates leave out", "Widen the dates"),
}


def bindings(wishes: Wishes, found: Candidates, best: BestLists | None) -> tuple[Binding, ...]:
    """Every limit that binds, the hardest first.

    A limit on the choice binds when, by itself, it keeps out a cultivar worth more than the middle one of the trees
    chosen freely, and no sport of theirs; or when places stay empty, or there is no list.
    """
    listed = () if best is None or not best.choices else best.choices[0].choice.chosen
    value = tree_values(wishes, found.sited)
    usual = _usual_worth(wishes, found, listed, value)
    binding = [*_of_space(wishes, listed), *_of_climate(found)]
    chosen = found.problem.group[list(listed)]
    for limit, (code, cost, relax) in _WORDS.items():
        kept_out = np.flatnonzero(_kept_out(found, limit) & (value > usual) & ~np.isin(found.groups, chosen))
        if kept_out.size == 0:
            continue
        names = _one_of_each_group(found, kept_out[np.argsort(-value[kept_out], kind="stable")])
        others = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
        told = f"{', '.join(names[:NAMED])}{others}"
        words = f"{cost} {told}, which may do better here."
        binding.append(Binding(limit=code, words=words, relax=f"{relax}: {told}."))
    return (*binding, *_of_pollen(wishes, found, best), *_of_lists(wishes, best))


def _usual_worth(wishes: Wishes, found: Candidates, listed: Sequence[int], value: NDArray[np.float64]) -> float:
    """Worth of the middle tree of those chosen freely; 0 where a limit leaves places empty."""
    if len(listed) < wishes.places and wishes.room.plot is None:
        return 0.0
    free = [one for one in listed if not found.problem.fixed[one]]
    return float(np.median(value[found.pool[found.planted[free]]])) if free else 1.0


def _kept_out(found: Candidates, limit: str) -> NDArray[np.bool_]:
    """(n,) who is left out by a limit alone; where nothing to be had suits, the suited that are not to be had."""
    admitted = found.admission
    if admitted.least_bad and limit in ("available", "excluded"):
        return np.asarray(admitted.eligible & admitted.suited & ~admitted.by_limit[limit])
    return admitted.but_for(limit)


def _one_of_each_group(found: Candidates, rows: NDArray[np.intp]) -> list[str]:
    """Names of the rows, one for each sport group, in their order."""
    by_group: dict[int, str] = {}
    for row in rows:
        by_group.setdefault(int(found.groups[row]), found.sited.name(int(row)))
    return list(by_group.values())


def _of_space(wishes: Wishes, listed: Sequence[int]) -> list[Binding]:
    must = len(wishes.must_include)
    if wishes.room.plot is not None:
        if listed:
            return _of_full_ground(wishes, len(listed))
        told = "No tree of the wished kind finds a place on this ground."
        if must:
            told = f"The {must} cultivars that must be planted do not find a place on this ground together."
        relax = "Keep trees lower, choose pots or trees trained along a fence, clear more ground, or insist on less."
        return [Binding(limit="space", words=told, relax=relax)]
    if must > wishes.places:
        told = f"{must} cultivars must be planted and there is room for {wishes.places} trees."
        return [Binding(limit="space", words=told, relax="Make more room, or insist on fewer cultivars.")]
    if 0 < len(listed) < wishes.places:
        told = f"{wishes.places - len(listed)} of {wishes.places} places stay empty: too few cultivars meet all limits."
        relax = "Relax the limits on the choice, or plant fewer trees."
        return [Binding(limit="climate", words=told, relax=relax)]
    return []


def _of_full_ground(wishes: Wishes, count: int) -> list[Binding]:
    if count >= wishes.most_trees:
        told = f"The number of trees binds ({count}), not the ground."
        return [
            Binding(limit="space", words=told, relax="Allow more trees, or plant a larger space from several lists.")
        ]
    told = f"The ground is full with {count} tree{'s' * (count != 1)} of these sizes in rows that can be walked."
    relax = "Keep trees lower, train some along a fence, or clear more ground."
    return [Binding(limit="space", words=told, relax=relax)]


def _of_climate(found: Candidates) -> list[Binding]:
    if not found.admission.least_bad:
        return []
    told = "No cultivar that may be had is expected to crop reliably at this site."
    relax = "Choose a better spot, shelter, or another fruit; or other cultivars, if the stock is the limit."
    return [Binding(limit="climate", words=told, relax=relax)]


def _of_pollen(wishes: Wishes, found: Candidates, best: BestLists | None) -> list[Binding]:
    if best is None or not best.choices or not best.choices[0].choice.unserved:
        return []
    rows = best.choices[0].choice.unserved
    names = ", ".join(dict.fromkeys(found.sited.name(int(found.pool[found.planted[row]])) for row in rows))
    told = f"Not every tree of the best list has a sure pollen source: {names} would stand without one."
    if wishes.places == 1:
        relax = (
            "Plant a second tree or a crab apple, graft a branch of another cultivar, or find out what grows nearby."
        )
    else:
        relax = (
            "Allow one tree or a crab apple more, other cultivars, or tell which apples and crab apples grow nearby."
        )
    return [Binding(limit="pollination", words=told, relax=relax)]


def _of_lists(wishes: Wishes, best: BestLists | None) -> list[Binding]:
    offered = 0 if best is None else len(best.choices)
    if not 0 < offered < wishes.lists:
        return []
    told = (
        f"Only {offered} of {wishes.lists} lists: no other keeps all limits and differs in a third of its free trees."
    )
    return [Binding(limit="lists", words=told, relax="Relax a limit on the choice, or make do with fewer lists.")]
