"""What a caller asks of `suitabilities`."""

from typing import Annotated

import msgspec

from domain.common.asked_names import UnknownNames
from domain.site_climate.site import Site

WarmerBy = Annotated[
    float,
    msgspec.Meta(
        gt=0,
        le=5,
        description="Judge every cultivar also with all months warmer by so many degrees; the worse judgement counts.",
        examples=[2],
    ),
]
Weight = Annotated[float, msgspec.Meta(ge=0, le=10, description="Relative weight; 0 leaves the outcome out.")]


class Weights(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How much each outcome counts in `rank_value`; only their proportions matter."""

    crop: Weight = 5.0
    sound_fruit: Weight = 2.0
    quality: Weight = 1.5
    tree_survival: Weight = 1.5
    proven_in_like_climates: Weight = 2.0


CultivarName = Annotated[
    str,
    msgspec.Meta(min_length=1, max_length=80, description="Any name of a cultivar.", examples=["Bramley's Seedling"]),
]


HowUnknown = Annotated[
    UnknownNames,
    msgspec.Meta(description="refuse: a name that no cultivar bears is a fault. report: it is left out, and told."),
]


class SuitabilityRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A site and, if wanted, the cultivars to judge there (all advised ones if left out)."""

    site: Site
    cultivars: (
        Annotated[
            list[CultivarName],
            msgspec.Meta(min_length=1, max_length=500, description="A stock; one that is named twice is judged once."),
        ]
        | None
    ) = None
    unknown_names: HowUnknown = "refuse"
    limit: (
        Annotated[
            int,
            msgspec.Meta(
                ge=1,
                le=500,
                description="Only so many, the best; of a cultivar and its sports with one verdict the first stands for"
                " all, unless `cultivars` are named.",
                examples=[20],
            ),
        ]
        | None
    ) = None
    weights: Weights | None = None
    warmer_by_c: WarmerBy | None = None
    no_spray: Annotated[
        bool,
        msgspec.Meta(
            description="True: judged for trees that nobody sprays; a cultivar whose fruit disease would spoil far "
            "more than that of a resistant one is then at best worth trying."
        ),
    ] = False
    evidence: bool = False
