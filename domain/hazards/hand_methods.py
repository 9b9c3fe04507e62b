"""What can be done by hand against each disease and insect: hygiene, bagging, netting, bands, scouting. No sprays."""

from typing import TYPE_CHECKING, Literal, TypeAlias

from domain.fruit.reading import Grounds, table

Kind = Literal["hygiene", "pruning", "scouting", "bagging", "netting", "bands", "siting"]


class HandMethod(Grounds, frozen=True, kw_only=True):
    """One thing to do by hand against a disease or an insect, and who says so."""

    against: str
    kind: Kind
    words: str

    @property
    def code(self) -> str:
        """The code of its sentence: there is one of a kind against each disease or insect."""
        return f"{self.against}_{self.kind}"


HAND_METHODS = table("hand_methods", HandMethod)

if TYPE_CHECKING:
    HandMethodCode: TypeAlias = str
else:  # the closed set of the contract is what stands in the table
    HandMethodCode = Literal[tuple(method.code for method in HAND_METHODS)]


_AGAINST = {
    against: tuple(method for method in HAND_METHODS if method.against == against)
    for against in {method.against for method in HAND_METHODS}
}


def hand_methods(against: str) -> tuple[HandMethod, ...]:
    """The methods against one disease or insect, in the order of the list; none for an unknown name."""
    return _AGAINST.get(against, ())
