"""What a single tree of a list is worth by its cultivar: how it does there, what is wished, what can be had."""

from collections.abc import Collection, Mapping, Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.planting_list.trees_at_site import SitedCultivars
from domain.planting_list.wishes import Wishes
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.traits.fruit_like import said
from domain.traits.fruit_wishes import Met, WishCode, likely_dessert


class WorthFigures(msgspec.Struct, frozen=True):
    """What takes from the worth of a tree on a list."""

    trying_share: float
    spray_share: float
    unknown_wish_share: float
    other_use_share: float
    passed_over_price: float
    passed_over_from: float
    lone_weeks: float
    lone_glut_price: float


FIGURES = figures("planting_list", "tree_worth", WorthFigures)
SHARP = ("sharp",)
KITCHEN_OR_PRESS = frozenset({"cooking", "cider"})
"""Uses that have apples of their own."""


def uses_of(cultivar: Cultivar) -> frozenset[str]:
    """The uses that a text gives for a cultivar; empty when unknown."""
    finding = cultivar.findings.get("uses")
    return frozenset() if finding is None else frozenset(finding.value.split())


def for_the_press_alone(cultivar: Cultivar, uses: Collection[str]) -> bool:
    """Whether its fruit is for cider and nothing else, of which nobody asked. uses: those asked."""
    return uses_of(cultivar) == {"cider"} and "cider" not in uses


def tree_values(wishes: Wishes, sited: SitedCultivars, met: Sequence[Mapping[WishCode, Met]]) -> NDArray[np.float64]:
    """(n,) worth of a tree, 0 to 1: its rank value, less where it is only worth trying, or not known to be as wished.

    Where nobody is to spray it is less by the fruit that is spoilt then; where nobody tells what can be had, by how far
    those who speak of the place pass the cultivar over; a single tree's, by how soon its crop is gone.
    """
    passed_over = sited.passed_over if wishes.available is None else None
    value = cultivar_values(sited, met, wishes.uses, passed_over)
    if wishes.places == 1:
        value = value * _eaten_while_it_keeps(sited)
    if wishes.no_spray:
        value = value * (1 - FIGURES.spray_share * (1 - sited.sound))
    return np.asarray(value)


def cultivar_values(
    sited: SitedCultivars,
    met: Sequence[Mapping[WishCode, Met]],
    uses: Collection[str],
    passed_over: NDArray[np.float64] | None,
) -> NDArray[np.float64]:
    """(n,) what a cultivar is worth at the site, on a list as on a trunk: by itself, less where it is worth trying.

    Less too for each wish of which nothing is known, and by how far those who speak of the place pass it over; None
    where that is not known or the caller tells what can be had. uses: those wished.
    """
    value = sited.worth.astype(np.float64)
    value = np.where(sited.has_verdict("worth_trying"), FIGURES.trying_share * value, value)
    if passed_over is not None:
        value = value * (1.0 - FIGURES.passed_over_price * passed_over)
    return np.asarray(value * wish_shares(sited.cultivars, met, uses))


def wish_shares(
    cultivars: Sequence[Cultivar], met: Sequence[Mapping[WishCode, Met]], uses: Collection[str]
) -> NDArray[np.float64]:
    """(n,) what is left of the worth of each cultivar by the wishes of which nothing is known. uses: those wished.

    Less too where none but those of kitchen or press are wished and it is eaten raw as well.
    """
    unknown = [unknown_wishes(cultivar, one, uses) for cultivar, one in zip(cultivars, met, strict=True)]
    other = [FIGURES.other_use_share if _for_eating_too(cultivar, uses) else 1.0 for cultivar in cultivars]
    return np.asarray(FIGURES.unknown_wish_share ** np.array(unknown, dtype=np.float64) * np.array(other))


def _for_eating_too(cultivar: Cultivar, uses: Collection[str]) -> bool:
    """Whether kitchen or press alone is wished and it is eaten raw as well; of a sharp one that is said in courtesy.

    For juice and drying eating apples are usually taken, so that there it is no fault.
    """
    kitchen = bool(uses) and KITCHEN_OR_PRESS.issuperset(uses)
    return kitchen and "dessert" in uses_of(cultivar) and said(cultivar, "flavour") != SHARP


def unknown_wishes(cultivar: Cultivar, met: Mapping[WishCode, Met], uses: Collection[str]) -> int:
    """How many wishes nothing is known of; what is in all likelihood eaten raw counts as known. uses: those wished."""
    likely = met.get("uses") == "not_known" and "dessert" in uses and likely_dessert(cultivar)
    return sum(has == "not_known" for has in met.values()) - likely


def hardly_told(sited: SitedCultivars, row: int) -> bool:
    """Whether hardly any source that speaks of this part of the world names a cultivar."""
    return sited.passed_over is not None and bool(sited.passed_over[row] >= FIGURES.passed_over_from)


def told_near(wishes: Wishes, sited: SitedCultivars) -> NDArray[np.bool_] | None:
    """(n,) whom sources near by do not pass over; None where that is not known, or the caller tells what can be had."""
    if sited.passed_over is None or wishes.available is not None:
        return None
    return np.asarray(sited.passed_over < FIGURES.passed_over_from)


def _eaten_while_it_keeps(sited: SitedCultivars) -> NDArray[np.float64]:
    """(n,) what a single tree is worth by how long its fruit can be eaten: a tree's crop in a fortnight is a glut."""
    weeks = np.nan_to_num(sited.storage_weeks[:, 0], nan=FIGURES.lone_weeks / 2)
    short = 1.0 - np.minimum(weeks / FIGURES.lone_weeks, 1.0)
    return np.asarray(1.0 - FIGURES.lone_glut_price * short)


def as_wished(wishes: Wishes, cultivar: Cultivar, met: Mapping[WishCode, Met]) -> bool:
    """Whether a cultivar is known to be as wished; one in all likelihood to eat raw counts as known for that."""
    return "not_met" not in met.values() and unknown_wishes(cultivar, met, wishes.uses) == 0
