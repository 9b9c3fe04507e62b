"""Kinds of plants in the catalogue: what is planted for its fruit, and what is planted to give pollen."""

from typing import TYPE_CHECKING, Literal, TypeAlias

from domain.fruit.reading import Grounds, keyed
from domain.tables.cultivars import Cultivar

PollenUnrecorded = Literal["viable", "poor", "unknown"]


class KindOfPlant(Grounds, frozen=True, kw_only=True):
    """One kind. pollen_unrecorded, pollen_chance_unrecorded: its pollen where neither pollen nor ploidy is recorded."""

    kind: str
    name: str
    planted_for_fruit: bool
    pollen_donor: bool
    pollen_unrecorded: PollenUnrecorded
    pollen_chance_unrecorded: float | None = None


KINDS = keyed("kinds", KindOfPlant, lambda row: row.kind)

if TYPE_CHECKING:
    Kind: TypeAlias = str
else:  # the closed set of the contract is what stands in the table
    Kind = Literal[tuple(KINDS)]


def planted_for_fruit(cultivar: Cultivar) -> bool:
    """Whether it is ranked and listed; others are judged where a request names them."""
    return KINDS[cultivar.kind].planted_for_fruit


def pollen_donor(cultivar: Cultivar) -> bool:
    """Whether it is offered as a pollen source beside what is planted for fruit."""
    return KINDS[cultivar.kind].pollen_donor
