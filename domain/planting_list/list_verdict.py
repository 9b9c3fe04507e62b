"""The verdict on a list as a whole."""

from collections.abc import Sequence

import msgspec

from domain.planting_list.crops import CropYears
from domain.suitability.factors import Verdict
from domain.suitability.verdicts import BEST_FIRST
from domain.tables.parameters import figures


class ListVerdictFigures(msgspec.Struct, frozen=True):
    """From how many years of ten a list is to be planted, or is none."""

    plant_enough_years: float
    barren_years: float


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
