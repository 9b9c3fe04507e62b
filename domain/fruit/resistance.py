"""Classes of susceptibility to a disease, from 0 (immune) to 1 (very susceptible)."""

from typing import TYPE_CHECKING, Literal, TypeAlias

import msgspec

from domain.fruit.reading import Grounds, keyed


class ResistanceClass(Grounds, frozen=True, kw_only=True):
    """One class, mildest first: the susceptibility it ends at, and whether it counts as tolerating the disease."""

    name: str = msgspec.field(name="class")
    below: float
    tolerant: bool


RESISTANCE_CLASSES = keyed("resistance_classes", ResistanceClass, lambda row: row.name)

if TYPE_CHECKING:
    Resistance: TypeAlias = str
else:  # the closed set of the contract is what stands in the table
    Resistance = Literal[(*RESISTANCE_CLASSES, "unknown")]


def resistance_class(susceptibility: float | None) -> Resistance:
    """The class of a susceptibility; `unknown` where nobody rated it."""
    if susceptibility is None:
        return "unknown"
    return next(name for name, one in RESISTANCE_CLASSES.items() if susceptibility < one.below)


def resists(susceptibility: float | None) -> bool:
    """Whether a cultivar counts as tolerating the disease; one that nobody rated does not."""
    return susceptibility is not None and RESISTANCE_CLASSES[resistance_class(susceptibility)].tolerant
