"""What a caller asks of `multi-cultivar-trees`, and the structs of the answer."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from domain.common.cautions import Caution
from domain.site_climate.site import Site
from domain.suitability.suitability_request import CultivarName

MOST_ON_ONE_TRUNK = 12
MOST_CANDIDATES = 300

Aim = Literal["several_cultivars", "pollen_for_the_trunk"]


class Trunk(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The tree that is there; leave out what is not known."""

    cultivar: CultivarName | None = None
    rootstock: (
        Annotated[
            str, Meta(min_length=1, max_length=60, description="Name or id of the rootstock.", examples=["MM.106"])
        ]
        | None
    ) = None
    age_years: Annotated[float, Meta(ge=0, le=150, description="Years since planting.", examples=[6])] | None = None


class MultiCultivarTreeRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A trunk or none, how many cultivars, which can be had, and what for."""

    trunk: Trunk | None = None
    cultivars: Annotated[
        int,
        Meta(ge=1, le=MOST_ON_ONE_TRUNK, description="At most so many on the trunk, its own counted.", examples=[4]),
    ] = 4
    available: (
        Annotated[list[CultivarName], Meta(min_length=1, max_length=MOST_CANDIDATES, description="Scions to be had.")]
        | None
    ) = None
    must_include: Annotated[
        list[CultivarName], Meta(max_length=MOST_ON_ONE_TRUNK, description="Grafted in any case.")
    ] = []
    aim: Annotated[
        Aim,
        Meta(description="pollen_for_the_trunk: the one scion by which a lone tree sets fruit; needs trunk.cultivar."),
    ] = "several_cultivars"
    site: Annotated[Site | None, Meta(description="For bloom and months there; without it the reference places.")] = (
        None
    )


class Limb(msgspec.Struct, frozen=True, kw_only=True):
    """One cultivar on the trunk."""

    cultivar: str
    on_the_tree: bool
    """True of the trunk's own cultivar."""
    place: Literal["low", "anywhere", "high_sunny"]
    """The strong low, the weak high and in the sun."""
    graft_in_year: int | None
    """1 is the first spring; null for the trunk's own."""
    vigour: float | None
    pollen_from: tuple[str, ...]
    """Cultivars on the same trunk that serve it."""
    ripens_after_first_days: int | None
    """Days after the first of the trunk's cultivars to ripen."""
    words: tuple[str, ...]


class WorkStep(msgspec.Struct, frozen=True, kw_only=True):
    """One step of the work and its months (1 January to 12 December)."""

    step: Literal["cut_scions", "graft", "bud", "prune_for_balance", "mark"]
    months: tuple[int, ...]
    words: str


class PollenScion(msgspec.Struct, frozen=True, kw_only=True):
    """A scion that would serve the trunk, and the chance that it does."""

    cultivar: str
    probability: float
    words: tuple[str, ...]


class MultiCultivarTree(msgspec.Struct, frozen=True, kw_only=True):
    """The cultivars of one trunk, the work, and what to mind."""

    limbs: tuple[Limb, ...]
    pollen_scions: tuple[PollenScion, ...]
    work: tuple[WorkStep, ...]
    why: tuple[str, ...]
    cautions: tuple[Caution, ...]
