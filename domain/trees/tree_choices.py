"""Which form on which rootstock suits a cultivar, a gardener and the ground: height, ladder, pruning, pot, soil, sale.

A form is left out where it asks what the wishes refuse (a ladder, pruning), where the cultivar bears on tips that it
would cut away, or where no rootstock on sale keeps the tree small enough. What remains is ordered by how little the
tree has to be held back, its support, ladder and crop.
"""

from collections.abc import Collection
from typing import Annotated

import msgspec
from msgspec import Meta

from domain.tables.rootstocks import Rootstock, rootstocks
from domain.tables.tree_forms import REACH_M, TreeForm, tree_forms
from domain.trees.tree_size import ScionGrowth, Soil, TreeSize, tree_size

LEAST_HEIGHT_SHARE = 0.75
"""A form taller than this share of its least height is not made on a stock that never grows so tall."""
HELD_TOO_HARD = 1.6
SPURS_HELD_TOO_HARD = 1.9
"""A tree that would be so much taller than it is kept answers hard cuts with leaves instead of fruit; one that bears on
spurs stands more. Common practice, no source."""
FLAT_HELD_TOO_HARD = 2.6
"""The same for flat forms, whose spurs are cut in summer, which restrains growth."""
SUPPORT_COST = {"none": 0.0, "stake_early_years": 0.02, "stake": 0.04, "permanent_stake": 0.1, "wires": 0.2}
LADDER_COST = 0.1
"""For each metre above what is reached from the ground."""
UNUSUAL_COST = {"angled-planting": 0.1, "slender-spindle": 0.1, "vertical-axis": 0.1, "tall-spindle": 0.1, "fan": 0.1}
"""What a gardener minds beside size and crop, so that between alike trees the plain one comes first; judgement."""
WEAK_PERCENT, WEAK_COST = 30.0, 0.15
"""Size under which a stock wants rich, watered ground free of grass all its life; common practice, no source."""
WINTER_HARDY = frozenset({"very_hardy", "hardy"})


class TreeWishes(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the gardener can and wants to do."""

    keep_height_m: (
        Annotated[float, Meta(ge=0.3, le=12, description="Height the tree is to be kept to, m.", examples=[2.5])] | None
    ) = None
    keep_spread_m: (
        Annotated[float, Meta(ge=0.3, le=12, description="Width the tree is to be kept to, m.", examples=[2.0])] | None
    ) = None
    no_ladder: Annotated[bool, Meta(description="True: picked and pruned from the ground.")] = False
    no_pruning: Annotated[bool, Meta(description="True: nobody will prune.")] = False
    in_pot: Annotated[bool, Meta(description="True: it stands in a pot.")] = False
    against_fence: Annotated[bool, Meta(description="True: it is trained along a fence or wall.")] = False
    old_orchard: Annotated[bool, Meta(description="True: apple or pear grew in this ground before.")] = False
    soil: Annotated[Soil, Meta(description="fertile, average or poor (shallow, dry, sandy).")] = "average"
    wet_ground: Annotated[bool, Meta(description="True: the ground stays wet.")] = False
    cold_winters: Annotated[bool, Meta(description="True: below about -30 C.")] = False


class TreeChoice(msgspec.Struct, frozen=True, kw_only=True):
    """A form on a rootstock, its grown size, and why or with what care."""

    form: str
    rootstock: str
    size: TreeSize
    words: tuple[str, ...]


class _Weighed(msgspec.Struct, frozen=True):
    cost: float
    choice: TreeChoice


def tree_choices(
    scion: ScionGrowth,
    wishes: TreeWishes,
    available: Collection[str] | None = None,
    most: int = 5,
) -> tuple[TreeChoice, ...]:
    """The best forms on the best stocks, best first, one stock a form; empty where nothing suits.

    available: ids of the rootstocks that can be had; None for those commonly sold.
    """
    stocks = [
        stock
        for stock in rootstocks().values()
        if "size_percent" in stock.numbers
        and (stock.id in available if available is not None else stock.commonly_sold_in)
    ]
    found = []
    for form in tree_forms().values():
        if not _form_suits(form, scion, wishes):
            continue
        weighed = [one for stock in stocks if (one := _weighed(scion, stock, form, wishes)) is not None]
        if weighed:
            found.append(min(weighed, key=lambda one: (one.cost, one.choice.rootstock)))
    found.sort(key=lambda one: (one.cost, one.choice.form))
    return tuple(one.choice for one in found[:most])


def _form_suits(form: TreeForm, scion: ScionGrowth, wishes: TreeWishes) -> bool:
    if (form.arrangement == "pot") != wishes.in_pot or (form.arrangement == "fence") != wishes.against_fence:
        return False
    if scion.columnar != (form.id == "columnar") and not wishes.in_pot:
        return False
    if wishes.no_pruning:
        return form.id in {"untrained", "columnar"} or wishes.in_pot
    if form.id == "untrained":
        return False
    return scion.bearing is None or scion.bearing in form.bearing_habits


def _weighed(scion: ScionGrowth, stock: Rootstock, form: TreeForm, wishes: TreeWishes) -> _Weighed | None:
    limit = min(wishes.keep_height_m or 99.0, REACH_M if wishes.no_ladder else 99.0)
    size = tree_size(scion, stock, form, soil=wishes.soil, pruned=not wishes.no_pruning, keep_height_m=limit)
    kept = size.height_m.likely
    least = form.ranges["mature_height"].low
    too_hard = SPURS_HELD_TOO_HARD if scion.bearing == "spur" else HELD_TOO_HARD
    if form.arrangement in {"fence", "pot"}:
        too_hard = FLAT_HELD_TOO_HARD
    if kept > limit or size.natural_height_m > too_hard * max(kept, 0.8 if form.id != "stepover" else 1.2):
        return None
    if form.id != "untrained" and (kept < LEAST_HEIGHT_SHARE * least):
        return None
    if wishes.keep_spread_m is not None and size.spread_m.likely > wishes.keep_spread_m:
        return None
    suited = form.ranges["rootstock_size"]
    percent = stock.numbers["size_percent"].value
    words, cost = _of_the_stock(stock, wishes)
    cost += SUPPORT_COST[size.support] + LADDER_COST * max(kept - REACH_M, 0.0) + UNUSUAL_COST.get(form.id, 0.0)
    outside = max(suited.low - percent, percent - suited.high, 0.0)
    cost += 0.03 * outside + abs(size.natural_height_m / kept - 1.05) - 0.1 * min(size.yearly_crop_kg.likely / 20, 1.5)
    if size.held_by_pruning:
        words.append(f"It would grow {size.natural_height_m:.1f} m tall: pruning each year holds it at {kept:.1f} m.")
        words += _how_to_hold(scion, form)
    if form.id == "columnar":
        words.append("No pruning for shape, but thin the fruit; it stands 2.5 to 4 m tall.")
    if scion.bearing in {"tip", "partial_tip"} and not wishes.no_pruning:
        words.append("It bears on shoot tips: thin whole shoots, since cutting all back to spurs takes the crop.")
    if form.id == "untrained":
        words.append("Nobody prunes it: it grows as tall as its rootstock lets it, and crops less evenly.")
    choice = TreeChoice(form=form.id, rootstock=stock.id, size=size, words=tuple(words))
    return _Weighed(cost, choice)


def _how_to_hold(scion: ScionGrowth, form: TreeForm) -> list[str]:
    """How a tree that would be larger is held; practice of the trade without a source."""
    if form.arrangement == "fence":
        return ["Cut this year's side shoots back in summer, which restrains growth."]
    words = ["Do not head a young tree hard: it answers with leaves instead of fruit. Summer cuts restrain it."]
    if scion.bearing == "spur":
        words.append("Once its spurs are 8 to 10 years old, take nearly all new growth back to two buds each winter.")
    return words


def _of_the_stock(stock: Rootstock, wishes: TreeWishes) -> tuple[list[str], float]:
    """Words and cost of what a stock stands or does not stand of this ground."""
    told = {trait: finding.value for trait, finding in stock.findings.items()}
    words, cost = [], 0.0
    if wishes.old_orchard and told.get("replant") != "tolerant":
        cost += 0.6 if told.get("replant") == "sensitive" else 0.3
        words.append(f"{stock.name} is not known to stand ground where apple or pear grew before; choose fresh ground.")
    if wishes.wet_ground and (told.get("wet_soil") == "sensitive" or "susceptible" in told.get("crown_rot", "")):
        cost += 0.6
        words.append(f"{stock.name} suffers in wet ground: drain it or plant on a mound.")
    if wishes.cold_winters and told.get("hardiness") not in WINTER_HARDY:
        cost += 0.6 if told.get("hardiness") == "tender" else 0.3
        words.append(f"{stock.name} is not known to be hardy in very cold winters.")
    if wishes.soil == "poor" and told.get("poor_soil") == "sensitive":
        cost += 0.4
        words.append(f"{stock.name} needs rich soil.")
    elif stock.numbers["size_percent"].value < WEAK_PERCENT and not wishes.in_pot and wishes.soil != "fertile":
        cost += WEAK_COST
        words.append(f"{stock.name} stays weak: give it good soil, water in dry weeks and no grass about it.")
    return words, cost
