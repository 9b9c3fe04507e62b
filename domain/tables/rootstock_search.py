"""Which rootstocks and which tree forms have the traits asked for."""

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from domain.tables.rootstocks import Rootstock
from domain.tables.tree_forms import Arrangement, BearingHabit, TreeForm

Resists = Literal["crown_rot", "fire_blight", "woolly_apple_aphid"]
Tolerates = Literal["replant", "drought", "wet_soil", "poor_soil", "lime", "salt", "heat"]

_RESISTANT = {"resistant", "moderately_resistant"}
_Percent = Annotated[float, Meta(ge=5, le=150, description="Size of the tree, percent of one on seedling.")]


class RootstockFilters(msgspec.Struct, frozen=True, kw_only=True):
    """Traits that a rootstock must have. A rootstock whose trait is unknown does not have it."""

    q: Annotated[str, Meta(min_length=1, max_length=40, description="Part of the name or id.")] | None = None
    least_size: _Percent | None = None
    greatest_size: _Percent | None = None
    commonly_sold: Annotated[bool, Meta(description="True: only those that nurseries commonly sell.")] = False
    self_supporting: Annotated[bool, Meta(description="True: only those that need no stake.")] = False
    hardy: Annotated[bool, Meta(description="True: only those known to be hardy or very hardy.")] = False
    resists: Annotated[tuple[Resists, ...], Meta(max_length=3, description="At least moderately, all of them.")] = ()
    tolerates: Annotated[tuple[Tolerates, ...], Meta(max_length=7, description="Ground, all of them.")] = ()


class TreeFormFilters(msgspec.Struct, frozen=True, kw_only=True):
    """What a form must be."""

    arrangement: Annotated[Arrangement, Meta(description="How trees of the form stand.")] | None = None
    bearing: Annotated[BearingHabit, Meta(description="Habit of bearing that the form suits.")] | None = None
    no_ladder: Annotated[bool, Meta(description="True: only forms picked and pruned from the ground.")] = False
    keep_height_m: (
        Annotated[float, Meta(ge=0.3, le=12, description="Forms that are made as low as this, m.", examples=[2.0])]
        | None
    ) = None


def find_rootstocks(stocks: Iterable[Rootstock], filters: RootstockFilters) -> tuple[Rootstock, ...]:
    """The rootstocks that have every trait asked for, in the order given."""
    return tuple(stock for stock in stocks if _has(stock, filters))


def find_tree_forms(forms: Iterable[TreeForm], filters: TreeFormFilters) -> tuple[TreeForm, ...]:
    """The forms that are what is asked for, in the order given."""
    return tuple(
        form
        for form in forms
        if (filters.arrangement is None or form.arrangement == filters.arrangement)
        and (filters.bearing is None or filters.bearing in form.bearing_habits)
        and (not filters.no_ladder or form.ladder == "never")
        and (filters.keep_height_m is None or form.ranges["mature_height"].low <= filters.keep_height_m)
    )


def _has(stock: Rootstock, filters: RootstockFilters) -> bool:
    told = {trait: finding.value for trait, finding in stock.findings.items()}
    size = stock.numbers["size_percent"].value if "size_percent" in stock.numbers else None
    sought = (filters.q or "").casefold()
    return (
        (sought in stock.id or sought in stock.name.casefold())
        and (filters.least_size is None or (size is not None and size >= filters.least_size))
        and (filters.greatest_size is None or (size is not None and size <= filters.greatest_size))
        and (not filters.commonly_sold or bool(stock.commonly_sold_in))
        and (not filters.self_supporting or told.get("staking") == "not_needed")
        and (not filters.hardy or told.get("hardiness") in {"hardy", "very_hardy"})
        and all(told.get(disease) in _RESISTANT for disease in filters.resists)
        and all(told.get(ground) == "tolerant" for ground in filters.tolerates)
    )
