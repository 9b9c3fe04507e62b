"""The verdict on a list as a whole, and the order of lists by it."""

from collections.abc import Sequence, Set

import msgspec

from domain.planting_list.crops import CropYears
from domain.suitability.factors import Verdict
from domain.suitability.verdicts import BEST_FIRST
from domain.tables.parameters import figures


class ListVerdictFigures(msgspec.Struct, frozen=True):
    """From how many years of ten a list is to be planted, or is none, and from what worth it goes before others."""

    plant_enough_years: float
    barren_years: float
    sure_share: float


FIGURES = figures("planting_list", "list_verdict", ListVerdictFigures)


def list_verdict(
    trees: Sequence[Verdict], years: CropYears | None, *, lone: bool = False, sourced: CropYears | None = None
) -> Verdict:
    """A verdict from those of the trees and from what they bear together.

    A list of which half of the years bring nothing is `not_here`; one of trees of which too little is known is
    `not_known`; `plant` asks it of every tree, and enough fruit in most years. years: None for trees planted for their
    pollen alone. lone: a single tree whose neighbours nobody told, so that pollen alone makes no list barren. sourced:
    what they would bear but for figures without a source, which make no list barren either; `years` if left out.
    """
    if years is None:
        return max(trees, key=BEST_FIRST.index)
    if all(verdict == "not_here" for verdict in trees) or (
        (sourced or years).none >= FIGURES.barren_years and not lone
    ):
        return "not_here"
    if all(verdict in ("not_known", "not_here") for verdict in trees):
        return "not_known"
    if all(verdict == "plant" for verdict in trees) and years.enough >= FIGURES.plant_enough_years:
        return "plant"
    return "worth_trying"


def surest_first(verdicts: Sequence[Verdict], gives: Sequence[Set[str]], worth: Sequence[float]) -> list[int]:
    """Places of lists: those to be planted, then those worth a try, then the rest; alike ones stay in their order.

    gives: what each gives of what was asked. A list worth a try that gives what none to be planted gives stays before
    those. So does one beside which a list to be planted is worth too little (`sure_share`): nobody plants a poor tree
    because it asks for no neighbour.
    """
    least = FIGURES.sure_share * max(worth, default=0.0)
    sure: list[Verdict] = [
        "worth_trying" if v == "plant" and one < least else v for v, one in zip(verdicts, worth, strict=True)
    ]
    given = {one for verdict, some in zip(sure, gives, strict=True) if verdict == "plant" for one in some}

    def place(one: int) -> int:
        alone = sure[one] == "worth_trying" and "plant" in sure and bool(gives[one] - given)
        return BEST_FIRST.index("plant" if alone else sure[one])

    return sorted(range(len(sure)), key=place)
