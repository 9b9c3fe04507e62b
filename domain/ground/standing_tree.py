"""A tree that stands: one struct wherever a request tells of one, its cultivar known or not."""

from typing import Annotated

import msgspec
from msgspec import Meta

from domain.fruit.kinds import Kind
from domain.ground.geojson import CrownSpread, Height, Metres, Position
from domain.suitability.suitability_request import CultivarName

MOST_OF_A_KIND = 500

StandingCultivar = Annotated[
    CultivarName | None,
    Meta(
        description="Its cultivar; null where nobody knows it, or words such as “crab apple”: then it is taken for any "
        "that is usual of its kind."
    ),
]
Label = Annotated[str, Meta(max_length=120, description="The caller's own mark, given back.", examples=["row 3, 2nd"])]


class StandingTree(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tree that stands on the site already and stays. Where its place is told, it keeps its room."""

    cultivar: StandingCultivar
    kind: Annotated[Kind, Meta(description="What it is, where its cultivar is not known.")] = "apple"
    label: Label | None = None
    count: Annotated[int, Meta(ge=1, le=MOST_OF_A_KIND, description="Trees alike.")] = 1
    at: Annotated[Position | None, Meta(description="Where it stands on a drawn plot.")] = None
    at_m: Annotated[Metres | None, Meta(description="Where it stands in a rectangle.")] = None
    height_m: Height | None = None
    spread_m: CrownSpread | None = None
