"""Kinds of plants in the catalogue: what is planted for its fruit, and what is planted to give pollen."""

from functools import lru_cache
from typing import TYPE_CHECKING, Literal, TypeAlias

from domain.fruit.reading import Grounds, keyed
from domain.tables.cultivars import Cultivar
from reference_tables.spelling import fold

REMEMBERED_NAMES = 4096
"""Names for which it is kept whether they mean a kind, since the trees of a stream share them."""
PollenUnrecorded = Literal["viable", "poor", "unknown"]


class KindOfPlant(Grounds, frozen=True, kw_only=True):
    """One kind. pollen_unrecorded, pollen_chance_unrecorded: its pollen where neither pollen nor ploidy is recorded.

    spoken: what people call one whose cultivar they do not know.
    """

    kind: str
    name: str
    spoken: tuple[str, ...]
    planted_for_fruit: bool
    pollen_donor: bool
    pollen_unrecorded: PollenUnrecorded
    pollen_chance_unrecorded: float | None = None


KINDS = keyed("kinds", KindOfPlant, lambda row: row.kind, ("spoken",))
_BY_SPOKEN = {fold(spoken): kind.kind for kind in KINDS.values() for spoken in kind.spoken}

if TYPE_CHECKING:
    Kind: TypeAlias = str
else:  # the closed set of the contract is what stands in the table
    Kind = Literal[tuple(KINDS)]


def planted_for_fruit(cultivar: Cultivar) -> bool:
    """Whether it is ranked and listed: by its kind, or since a text tells what its fruit is used for.

    Others are judged where a request names them.
    """
    uses = cultivar.findings.get("uses")
    return KINDS[cultivar.kind].planted_for_fruit or (uses is not None and uses.basis == "published")


def pollen_donor(cultivar: Cultivar) -> bool:
    """Whether it is offered as a pollen source beside what is planted for fruit."""
    return KINDS[cultivar.kind].pollen_donor


@lru_cache(maxsize=REMEMBERED_NAMES)
def kind_spoken(name: str) -> str | None:
    """The kind that a name means which is no cultivar's, such as “crab apple”; None for any other."""
    return _BY_SPOKEN.get(fold(name))
