"""Trees that stand already, in words: do they get pollen, and what does the list change."""

from collections.abc import Mapping, Sequence

import msgspec
import numpy as np
from msgspec.structs import asdict

from domain.planting_list.candidates import Candidates
from domain.planting_list.list_answer import NamedCultivar, StandingCode, StandingSaid, StandingServed
from domain.planting_list.trees_around import Wanting
from domain.pollination.pairs import FIGURES as PAIRS
from domain.tables.parameters import figures
from domain.tables.words import Value, say

MOST_NAMED = 3


class HelpFigures(msgspec.Struct, frozen=True):
    """Least change of the chance of pollen that is told as help."""

    helps: float


FIGURES = figures("planting_list", "standing_in_words", HelpFigures)


def standing_served(found: Candidates, trees: Sequence[int], spelled: Mapping[str, str]) -> tuple[StandingServed, ...]:
    """Every cultivar that stands, and what the trees of a list (positions in the pool) change for it."""
    return tuple(_served(found, one, list(dict.fromkeys(trees)), spelled) for one in found.standing)


def _served(found: Candidates, one: Wanting, trees: Sequence[int], spelled: Mapping[str, str]) -> StandingServed:
    given = {tree: float(one.given[tree]) for tree in trees}
    missed = float(np.prod([1.0 - given[tree] for tree in trees]))
    after = 1.0 - (1.0 - one.before) * missed
    best = sorted((tree for tree in trees if given[tree] >= PAIRS.ineffective_chance), key=lambda tree: -given[tree])
    sources = tuple(_named(found, tree) for tree in best[:MOST_NAMED])
    cultivar = None if one.position is None else found.table.cultivars[one.position]
    known = one.position is None or bool(found.table.windows.known[one.position])
    sure = [_named(found, tree) for tree in best if given[tree] >= PAIRS.effective_chance]
    if not known:
        said = _said("standing_bloom_unknown")
    elif not one.wants:
        said = _said("standing_served_already")
    elif sure:
        said = _said("standing_served_by_list", cultivar=sure[0].cultivar, id=sure[0].id)
    elif after - one.before >= FIGURES.helps:
        said = _said("standing_helped_by_list", before=10.0 * one.before, after=10.0 * after)
    else:
        said = _said("standing_not_served")
    return StandingServed(
        cultivar=None if cultivar is None else cultivar.name,
        id=None if cultivar is None else cultivar.id,
        asked=None if cultivar is None else spelled.get(cultivar.id),
        label=one.tree.label,
        kind=one.tree.kind if cultivar is None else cultivar.kind,
        pollinated_before=round(one.before, 2),
        pollinated=round(after, 2),
        pollen_from=sources,
        said=said,
    )


def _named(found: Candidates, tree: int) -> NamedCultivar:
    cultivar = found.table.cultivars[tree]
    return NamedCultivar(cultivar=cultivar.name, id=cultivar.id)


def _said(code: StandingCode, **values: Value) -> StandingSaid:
    return StandingSaid(**asdict(say(code, **values)))
