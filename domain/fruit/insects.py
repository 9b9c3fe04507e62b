"""The insects of the fruit, each with the model of how hard it presses."""

from typing import TYPE_CHECKING, Literal, TypeAlias

from domain.fruit.reading import Grounds, keyed

InsectModel = Literal["broods", "range", "mild_winters"]
Presence = Literal["computed", "published range", "from-memory"]


class Insect(Grounds, frozen=True, kw_only=True):
    """One insect. elsewhere, place_unknown: 1 or 0, whether it lives outside its regions and without a place.

    presence: what its presence at a site rests on, as answers say it.
    """

    insect: str
    name: str
    model: InsectModel
    elsewhere: float
    place_unknown: float
    presence: Presence


INSECTS = keyed("insects", Insect, lambda row: row.insect)

if TYPE_CHECKING:
    InsectId: TypeAlias = str
else:  # the closed set of the contract is what stands in the table
    InsectId = Literal[tuple(INSECTS)]
