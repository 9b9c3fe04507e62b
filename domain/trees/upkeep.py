"""The year's work and crop of one tree and of a planting, against what a household eats.

Hours are those of the forms' tables (from memory; no published hours of a garden tree were found).
"""

from collections.abc import Sequence

import msgspec

from domain.tables.parameters import figures
from domain.trees.tree_size import Likely, TreeSize


class UpkeepFigures(msgspec.Struct, frozen=True):
    """What a household eats."""

    fresh_kg_a_person: float
    plenty_ratio: float


FIGURES = figures("trees", "upkeep", UpkeepFigures)

GUARD = "Guard young trees against deer, rabbits and voles: a fence or mesh round the trunk."
IN_POTS = (
    "Water pots daily in summer, and wrap or move them in hard frost: roots freeze there sooner than in the ground."
)


class Upkeep(msgspec.Struct, frozen=True, kw_only=True):
    """What a planting asks and gives in a year, once grown."""

    pruning_hours_a_year: tuple[float, float]
    trees_with_ladder: int
    trees_with_support: int
    yearly_crop_kg: Likely
    first_crop_after_years: tuple[int, int]
    persons_fed: tuple[int, int]
    """Persons whose fresh apples it grows, in a poor and in a good year of what we know."""
    words: tuple[str, ...]


def upkeep(trees: Sequence[TreeSize], persons: int | None = None, in_pots: bool = False) -> Upkeep:
    """Sums over the trees (one or more). The spread of the sum supposes that trees fail and crop together."""
    low, likely, high = (
        round(sum(getattr(tree.yearly_crop_kg, name) for tree in trees), 1) for name in ("low", "likely", "high")
    )
    hours = (
        round(sum(tree.pruning_hours_a_year[0] for tree in trees), 1),
        round(sum(tree.pruning_hours_a_year[1] for tree in trees), 1),
    )
    ladders = sum(tree.ladder for tree in trees)
    supported = sum(tree.support != "none" for tree in trees)
    words = [IN_POTS if in_pots else GUARD]
    if ladders:
        words.append(f"{ladders} of {len(trees)} trees take a ladder to pick or prune.")
    if persons is not None:
        fresh = persons * FIGURES.fresh_kg_a_person
        eat = f"{persons} people eat" if persons > 1 else "one person eats"
        words.append(
            f"About {likely:.0f} kg a year once grown ({low:.0f} to {high:.0f}); {eat} about {fresh:.0f} kg fresh."
        )
        if low > FIGURES.plenty_ratio * fresh:
            words.append("That is more than twice as much: plan to cook, juice, dry or give away.")
        elif high < fresh:
            words.append("That is less even in a good year.")
    return Upkeep(
        pruning_hours_a_year=hours,
        trees_with_ladder=ladders,
        trees_with_support=supported,
        yearly_crop_kg=Likely(likely=likely, low=low, high=high),
        first_crop_after_years=(
            min(tree.years_to_first_crop[0] for tree in trees),
            max(tree.years_to_first_crop[1] for tree in trees),
        ),
        persons_fed=(int(low // FIGURES.fresh_kg_a_person), int(high // FIGURES.fresh_kg_a_person)),
        words=tuple(words),
    )
