"""What a caller asks of `stock-orders`: the gardens of a region, what can be had, and how many kinds may be stocked."""

from typing import Annotated

import msgspec
from msgspec import Meta

from domain.planting_list.list_request import MOST_NAMES
from domain.site_climate.site import Site
from domain.suitability.suitability_request import CultivarName, HowUnknown, Weights

MOST_SITES = 40
"""Gardens of one request; `like_climates` bounds how many climates are worked out for them."""
MOST_KINDS = 60
MOST_OFFERED = 6


class OrderSite(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A climate of some gardens, such as a postcode's, and how many customers have it."""

    id: Annotated[str, Meta(min_length=1, max_length=80, description="The caller's own mark, given back.")]
    site: Site
    weight: Annotated[float, Meta(gt=0, le=1e6, description="Customers, or their share.", examples=[120])] = 1.0


class StockOrderRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Gardens of a region, and the stock that may serve them."""

    sites: Annotated[
        list[OrderSite],
        Meta(
            min_length=1,
            max_length=MOST_SITES,
            description="At most 16 climates are worked out for one order, one with figures counts as two: where "
            "there are more, gardens of which only the place is told are judged by one with months about alike.",
        ),
    ]
    available: (
        Annotated[
            list[CultivarName],
            Meta(min_length=1, max_length=MOST_NAMES, description="What can be ordered; all advised ones if left out."),
        ]
        | None
    ) = None
    must_stock: Annotated[list[CultivarName], Meta(max_length=MOST_KINDS, description="Stocked in any case.")] = []
    unknown_names: HowUnknown = "refuse"
    kinds_at_most: Annotated[int, Meta(ge=1, le=MOST_KINDS, description="Cultivars to stock.", examples=[12])]
    offered_to_each: Annotated[
        int, Meta(ge=1, le=MOST_OFFERED, description="Cultivars that each garden is offered.", examples=[3])
    ] = 3
    weights: Weights | None = None
