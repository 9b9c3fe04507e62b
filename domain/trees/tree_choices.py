"""Which form on which rootstock suits a cultivar, a gardener and the ground: height, ladder, pruning, pot, soil, sale.

A form is left out where it asks what the wishes refuse (a ladder, pruning), where the cultivar bears on tips that it
would cut away, or where no rootstock on sale keeps the tree small enough. What remains is ordered by how little the
tree has to be held back, its support, ladder and crop, and by what the hazards of the place take through the stock.
"""

import functools
from collections.abc import Collection
from typing import Annotated

import msgspec
from msgspec import Meta

from domain.fruit.bearing import bears_on_tips, stands_hard_cuts
from domain.tables.parameters import figures
from domain.tables.rootstocks import Rootstock, rootstocks
from domain.tables.tree_forms import FIGURES as FORMS
from domain.tables.tree_forms import Support, TreeForm, takes_ladder, tree_forms
from domain.tables.words import Value
from domain.trees.stock_hazards import Hazards, Judged, judged
from domain.trees.training import Training, TrainingCode, train
from domain.trees.tree_size import ScionGrowth, Soil, TreeSize, tree_size


class TreeChoiceFigures(msgspec.Struct, frozen=True):
    """What a form on a stock costs a gardener, and when a tree is held too hard."""

    least_height_share: float
    least_height_share_on_its_stock: float
    held_too_hard: float
    spurs_held_too_hard: float
    flat_held_too_hard: float
    cost_of_young_stake: float
    cost_of_stake: float
    cost_of_permanent_stake: float
    cost_of_wires: float
    ladder_cost: float
    tall_from_m: float
    tall_cost: float
    unusual_forms: tuple[str, ...]
    unusual_cost: float
    weak_percent: float
    weak_cost: float
    poor_soil_cost: float
    size_mismatch_cost: float
    free_height_ratio: float
    crop_gain: float
    good_crop_kg: float
    most_crop_gain: float


FIGURES = figures("trees", "tree_choices", TreeChoiceFigures)
STOCKS_JUDGED = 1024
"""Stocks at places whose judgement is kept."""
FIRMER: dict[Support, Support] = {"none": "stake_early_years", "stake_early_years": "stake", "stake": "permanent_stake"}
"""What holds a tree where gales strike, by what would hold it elsewhere; common practice, no source."""


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
    soil: Annotated[Soil, Meta(description="fertile, average or poor (shallow, dry, sandy).")] = "average"
    forms: tuple[str, ...] = ()
    """Ids of the forms wished; any where none is named."""
    hazards: Hazards = Hazards()


class TreeChoice(msgspec.Struct, frozen=True, kw_only=True):
    """A form on a rootstock, its grown size, and why or with what care."""

    form: str
    rootstock: str
    size: TreeSize
    training: tuple[Training, ...]
    at_risk: float = 0.0
    """What the hazards of the place take through the stock, as a share of a full tree."""


class _Weighed(msgspec.Struct, frozen=True):
    """A form on a stock: what it costs, its size, and what the stock is judged to bear at the place."""

    cost: float
    stock: Rootstock
    size: TreeSize
    of_place: Judged


def tree_choices(
    scion: ScionGrowth,
    wishes: TreeWishes,
    available: Collection[str] | None = None,
    most: int = 5,
    sold: Collection[tuple[str, str]] | None = None,
) -> tuple[TreeChoice, ...]:
    """The best forms on the best stocks, best first, one stock a form; empty where nothing suits.

    available: ids of the rootstocks that can be had; None for those commonly sold. sold: in their place pairs of the
    ids of a rootstock and a form in which a nursery has the cultivar.
    """
    if sold is not None:
        available = {stock for stock, _ in sold}
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
        had = stocks if sold is None else [stock for stock in stocks if (stock.id, form.id) in sold]
        weighed = [one for stock in had if (one := _weighed(scion, stock, form, wishes)) is not None]
        if weighed:
            found.append((form, min(weighed, key=lambda one: (one.cost, one.stock.id))))
    found.sort(key=lambda one: (one[1].cost, one[0].id))
    return tuple(_choice(scion, form, wishes, one) for form, one in found[:most])


def _form_suits(form: TreeForm, scion: ScionGrowth, wishes: TreeWishes) -> bool:
    if wishes.forms and form.id not in wishes.forms:
        return False
    if (form.arrangement == "pot") != wishes.in_pot or (form.arrangement == "fence") != wishes.against_fence:
        return False
    if scion.columnar != form.columnar and not wishes.in_pot:
        return False
    if wishes.no_pruning:
        return form.unpruned or wishes.in_pot
    if form.left_to_grow:
        return False
    return scion.bearing is None or scion.bearing in form.bearing_habits


def _weighed(scion: ScionGrowth, stock: Rootstock, form: TreeForm, wishes: TreeWishes) -> _Weighed | None:
    limit = min(wishes.keep_height_m or 99.0, FORMS.reach_m if wishes.no_ladder else 99.0)
    size = tree_size(scion, stock, form, soil=wishes.soil, pruned=not wishes.no_pruning, keep_height_m=limit)
    if wishes.hazards.wind:
        size = msgspec.structs.replace(size, support=FIRMER.get(size.support, size.support))
    kept = size.height_m.likely
    least = form.ranges["mature_height"].low
    too_hard = FIGURES.spurs_held_too_hard if stands_hard_cuts(scion.bearing) else FIGURES.held_too_hard
    if form.arrangement in {"fence", "pot"}:
        too_hard = FIGURES.flat_held_too_hard
    if kept > limit or size.natural_height_m > too_hard * max(kept, form.judged_as_kept_m):
        return None
    suited = form.ranges["rootstock_size"]
    percent = stock.numbers["size_percent"].value
    on_its_stock = takes_ladder(least) and suited.low <= percent <= suited.high
    share = FIGURES.least_height_share_on_its_stock if on_its_stock else FIGURES.least_height_share
    if not form.left_to_grow and kept < share * least:
        return None
    if wishes.keep_spread_m is not None and size.crown_spread_m.likely > wishes.keep_spread_m:
        return None
    of_place = _judged(stock.id, wishes.hazards)
    cost = _of_the_stock(stock, wishes)[1] + of_place.cost
    unusual = FIGURES.unusual_cost if form.id in FIGURES.unusual_forms else 0.0
    above = kept - FORMS.reach_m if takes_ladder(kept) else 0.0
    tall = max(kept - FIGURES.tall_from_m, 0.0)
    cost += _support_cost(size.support) + FIGURES.ladder_cost * above + FIGURES.tall_cost * tall + unusual
    outside = max(suited.low - percent, percent - suited.high, 0.0)
    cost += (
        FIGURES.size_mismatch_cost * outside
        + abs(size.natural_height_m / kept - FIGURES.free_height_ratio)
        - FIGURES.crop_gain * min(size.yearly_crop_kg.likely / FIGURES.good_crop_kg, FIGURES.most_crop_gain)
    )
    return _Weighed(cost, stock, size, of_place)


@functools.lru_cache(maxsize=STOCKS_JUDGED)
def _judged(stock_id: str, hazards: Hazards) -> Judged:
    """A stock judged at a place, once for all forms and cultivars on it."""
    return judged(rootstocks()[stock_id], hazards)


def _choice(scion: ScionGrowth, form: TreeForm, wishes: TreeWishes, found: _Weighed) -> TreeChoice:
    """The form on the stock that was found for it, with the care that the two ask."""
    size, of_place = found.size, found.of_place
    named: dict[str, Value] = {"rootstock": found.stock.name, "rootstock_id": found.stock.id}
    training = [*of_place.training, *(train(code, **named) for code in _of_the_stock(found.stock, wishes)[0])]
    if size.held_by_pruning:
        natural, kept = size.natural_height_m, size.height_m.likely
        training.append(train("held_by_pruning", natural_height_m=natural, kept_height_m=kept))
        training += _how_to_hold(scion, form)
    if form.columnar:
        height = form.ranges["mature_height"]
        training.append(train("columnar_needs_thinning", least_height_m=height.low, most_height_m=height.high))
    if bears_on_tips(scion.bearing) and not wishes.no_pruning:
        training.append(train("bears_on_tips"))
    if form.left_to_grow:
        training.append(train("left_to_grow"))
    return TreeChoice(
        form=form.id,
        rootstock=found.stock.id,
        size=size,
        training=tuple(training),
        at_risk=min(of_place.cost, 1.0),
    )


def _support_cost(support: Support) -> float:
    costs: dict[Support, float] = {
        "none": 0.0,
        "stake_early_years": FIGURES.cost_of_young_stake,
        "stake": FIGURES.cost_of_stake,
        "permanent_stake": FIGURES.cost_of_permanent_stake,
        "wires": FIGURES.cost_of_wires,
    }
    return costs[support]


def _how_to_hold(scion: ScionGrowth, form: TreeForm) -> list[Training]:
    """How a tree that would be larger is held; practice of the trade without a source."""
    if form.arrangement == "fence":
        return [train("summer_cuts_along_fence")]
    renewed = [train("renew_old_spurs")] if stands_hard_cuts(scion.bearing) else []
    return [train("no_hard_heading"), *renewed]


def _of_the_stock(stock: Rootstock, wishes: TreeWishes) -> tuple[tuple[TrainingCode, ...], float]:
    """Care and cost of a stock in soil of this fertility."""
    poor = stock.findings.get("poor_soil")
    if wishes.soil == "poor" and poor is not None and poor.value == "sensitive":
        return ("stock_needs_rich_soil",), FIGURES.poor_soil_cost
    if stock.numbers["size_percent"].value < FIGURES.weak_percent and not wishes.in_pot and wishes.soil != "fertile":
        return ("stock_stays_weak",), FIGURES.weak_cost
    return (), 0.0
