"""What would mend a planting, the cheapest first, each with what it gains; or leave it, it is fine.

A partner is chosen exactly: of all cultivars that may be had it is the one whose pollen brings the trees that want it
most crops, their own worth breaking ties. A cause of a complaint is acted on only where it is likely enough.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import get_args

import numpy as np
from msgspec.structs import asdict
from numpy.typing import NDArray

from domain.planting_list.pollen_donors import for_pollen_alone
from domain.pollination.pairs import FIGURES as PAIRS
from domain.reviews.orchard import Orchard
from domain.reviews.review_answer import Change, ChangeKind, ChangeTo, Gains, ReviewedTreeAnswer
from domain.reviews.trees_judged import FIGURES, name_of, wants_pollen
from domain.tables.words import Value, say

COST = get_args(ChangeKind)
"""Cheapest first (common practice)."""

_BY_CAUSE: dict[str, ChangeKind] = {
    "too_young": "wait",
    "natural_drop": "wait",
    "transplant_shock": "wait",
    "biennial": "thin",
    "needs_thinning": "thin",
    "pruned_wrongly": "prune",
    "too_vigorous": "prune",
    "mislabelled": "regraft",
    "rootstock_shoots": "regraft",
}
ROOTS_GO_ON = frozenset({"winter_chill", "frost_at_bloom", "ripening_heat", "fruit_quality", "sound_fruit"})
"""What stops a cultivar and leaves its roots sound: another may be grafted on them."""


@dataclass(frozen=True)
class Partner:
    """A cultivar that serves trees short of pollen: its row, the trees it serves, and crops a year that it brings."""

    row: int
    serves: tuple[int, ...]
    crops: float


def changes(orchard: Orchard, trees: Sequence[ReviewedTreeAnswer]) -> tuple[Change, ...]:
    """The changes of a planting, cheapest first, at most as many as asked."""
    found = [*_of_causes(orchard, trees), *_of_pollen(orchard), *_of_site(orchard, trees)]
    if not found:
        found = [_change("leave_as_it_is")]
    found.sort(key=lambda one: COST.index(one.change))
    return tuple(found[: orchard.planting.request.changes_at_most])


def best_partner(orchard: Orchard) -> Partner | None:
    """The cultivar that brings the trees short of pollen most crops a year; None where none is short or none serves."""
    short = [n for n in range(len(orchard.planting.trees)) if wants_pollen(orchard, n) and not _hopeless(orchard, n)]
    if not short:
        return None
    sited = orchard.sited
    stand = {row for tree in orchard.planting.trees if (row := orchard.row(tree)) is not None}
    may = _to_be_had(orchard, stand) & sited.has_verdict("plant", "worth_trying")
    if orchard.planting.available is None:
        may &= _for_fruit(orchard)
    if not may.any():
        return None
    given = np.stack([_more_pollen(orchard, n) for n in short])
    crops = np.array([_crops_if_served(orchard, n) for n in short])
    gained = crops @ given
    best = int(np.argmax(np.where(may, gained + FIGURES.partner_rank_share * sited.rank_value, -np.inf)))
    serves = tuple(
        n for n in short if float(orchard.want(orchard.planting.trees[n]).given[best]) >= PAIRS.effective_chance
    )
    return Partner(best, serves, float(gained[best])) if serves else None


def _to_be_had(orchard: Orchard, taken: Collection[int]) -> NDArray[np.bool_]:
    """(n,) cultivars in bloom at a known time that may be had, but for the rows taken."""
    sited, available = orchard.sited, orchard.planting.available
    may = sited.windows.known.copy()
    if available is not None:
        may &= np.array([one.id in available for one in sited.cultivars], dtype=np.bool_)
    may[list(taken)] = False
    return np.asarray(may)


def _for_fruit(orchard: Orchard) -> NDArray[np.bool_]:
    """(n,) advised cultivars that are planted for their fruit."""
    return np.array([one.status == "advised" and not for_pollen_alone(one) for one in orchard.sited.cultivars])


def _hopeless(orchard: Orchard, place: int) -> bool:
    """Whether the site lets a tree bear nothing, so that pollen would not mend it."""
    row = orchard.row(orchard.planting.trees[place])
    return row is not None and orchard.sited.verdict[row] == "not_here"


def _more_pollen(orchard: Orchard, place: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """(n,) what each cultivar would add to the chance that a tree gets pollen."""
    want = orchard.want(orchard.planting.trees[place])
    return np.asarray((1.0 - want.before) * want.given)


def _crops_if_served(orchard: Orchard, place: int) -> float:
    """Worthwhile crops a year of a tree, or of the trees of one kind, given pollen."""
    tree = orchard.planting.trees[place]
    row = orchard.row(tree)
    chance = orchard.sited.crop_chance if row is None else orchard.sited.crop_chance[row]
    return tree.count * float(np.mean(chance))


def _of_pollen(orchard: Orchard) -> list[Change]:
    partner = best_partner(orchard)
    if partner is None:
        return []
    request = orchard.planting.request
    cultivar = orchard.sited.cultivars[partner.row]
    gains = Gains(crops_a_year=round(partner.crops, 2), pollinated=tuple(name_of(orchard, n) for n in partner.serves))
    standing = [n for n in partner.serves if request.trees[n].state == "standing"]
    values: dict[str, Value] = {"cultivar": cultivar.name, "id": cultivar.id}
    there = ChangeTo(cultivar=cultivar.name, id=cultivar.id)
    found = []
    if standing:
        onto = name_of(orchard, max(standing, key=lambda n: (request.trees[n].height_m or 0.0, -n)))
        to = ChangeTo(cultivar=cultivar.name, id=cultivar.id, onto=onto)
        found.append(_change("bring_blossom", values, gains=gains))
        found.append(_change("add_scion", {**values, "onto": onto}, of=onto, to=to, gains=gains))
    if request.room_for_trees > 0 or any(tree.state == "planned" for tree in request.trees):
        found.append(_change("add_tree", values, to=there, gains=gains))
    return found


def _of_causes(orchard: Orchard, trees: Sequence[ReviewedTreeAnswer]) -> list[Change]:
    """What the likeliest causes of complaints ask for, where they are likely enough to act on."""
    found = []
    for n, tree in enumerate(trees):
        for cause in tree.likely_causes:
            kind = _BY_CAUSE.get(cause.cause)
            if kind is not None and cause.probability >= FIGURES.prescribe_from:
                name = name_of(orchard, n)
                found.append(Change(**asdict(cause.by_hand), change=kind, of=name, to=None, gains=None))
    return found


def _of_site(orchard: Orchard, trees: Sequence[ReviewedTreeAnswer]) -> list[Change]:
    """Trees that the site does not let bear: another cultivar on their roots, or in their place."""
    found = []
    taken: set[int] = {row for tree in orchard.planting.trees if (row := orchard.row(tree)) is not None}
    for n, tree in enumerate(trees):
        if tree.verdict != "not_here":
            continue
        row = _in_its_place(orchard, taken)
        if row is None:
            continue
        taken.add(row)
        cultivar = orchard.sited.cultivars[row]
        standing = orchard.planting.request.trees[n].state == "standing"
        kind: ChangeKind = "regraft" if standing and tree.limiting in ROOTS_GO_ON else "replace"
        name = name_of(orchard, n)
        gained = float(np.mean(orchard.sited.crop_chance[row])) * float(orchard.outside.chance[row])
        gained -= _crops_if_served(orchard, n) / tree.count * tree.pollination.pollinated
        found.append(
            _change(
                kind,
                {"cultivar": cultivar.name, "id": cultivar.id, "tree": name},
                of=name,
                to=ChangeTo(cultivar=cultivar.name, id=cultivar.id),
                gains=Gains(crops_a_year=round(gained * tree.count, 2), pollinated=()),
            )
        )
    return found


def _in_its_place(orchard: Orchard, taken: set[int]) -> int | None:
    """The best cultivar to be had that is to be planted here, that what stands would serve with pollen if any can."""
    sited = orchard.sited
    may = _to_be_had(orchard, taken) & sited.has_verdict("plant") & _for_fruit(orchard)
    if not may.any():
        return None
    served = 1.0 - FIGURES.served_share * (1.0 - orchard.outside.chance)
    return int(np.argmax(np.where(may, sited.rank_value * served, -np.inf)))


def _change(
    kind: ChangeKind,
    values: Mapping[str, Value] | None = None,
    of: str | None = None,
    to: ChangeTo | None = None,
    gains: Gains | None = None,
) -> Change:
    return Change(**asdict(say(f"change_{kind}", **(values or {}))), change=kind, of=of, to=to, gains=gains)
