"""What another cultivar is worth in a planting: weighed as on a list of the place, and less where little serves it."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from domain.planting_list.planting_lists import passed_over_here
from domain.planting_list.tree_worth import FIGURES as LISTS
from domain.planting_list.tree_worth import cultivar_values
from domain.reviews.orchard import Orchard
from domain.reviews.review_figures import FIGURES
from domain.traits.fruit_like import Use
from domain.traits.fruit_wishes import FruitWanted, Met, WishCode, origins_named, wishes_met
from domain.traits.trait_table import TraitTable

Floats = NDArray[np.float64]
REMEMBERED_USES = 32


@lru_cache(maxsize=REMEMBERED_USES)
def _met(traits: TraitTable, uses: tuple[Use, ...]) -> tuple[dict[WishCode, Met], ...]:
    """How each cultivar of a table meets the uses wished."""
    wanted, nowhere = FruitWanted(uses=list(uses)), origins_named(frozenset())
    return tuple(dict(wishes_met(one, wanted, frozenset(), nowhere)) for one in traits.cultivars)


def heard_of(orchard: Orchard) -> NDArray[np.bool_]:
    """(choice,) those that nurseries there may have: whom those who speak of the place do not pass over. All, where the
    caller tells what can be had. A change is not proposed that nobody there could make.
    """
    if orchard.planting.available is not None:
        return np.ones(len(orchard.choice.sited.cultivars), np.bool_)
    return not_passed_over(orchard)


def not_passed_over(orchard: Orchard) -> NDArray[np.bool_]:
    """(choice,) those whom those who speak of the place do not pass over."""
    over = passed_over_here(orchard.choice.traits, orchard.conditions)
    return np.asarray(over < LISTS.passed_over_from)


def _passed_over(orchard: Orchard) -> Floats | None:
    told = orchard.planting.available is not None
    return None if told else passed_over_here(orchard.choice.traits, orchard.conditions)


def worth(orchard: Orchard) -> Floats:
    """(choice,) what a tree of each is worth here, as on a list for the same uses; kept with the site."""
    uses = tuple(dict.fromkeys(orchard.planting.request.wanted.uses))
    choice, told = orchard.choice, orchard.planting.available is not None

    def made() -> Floats:
        return cultivar_values(choice.sited, _met(choice.traits, uses), uses, _passed_over(orchard))

    return orchard.conditions.kept.get("reviewed_worth", (choice.traits, uses, told), made)


def best(orchard: Orchard, may: NDArray[np.bool_], share: NDArray[np.floating] | float = 1.0) -> int:
    """Row of `choice` of the best that may be planted beside what stands: less where that would serve it less.

    share: of its worth that counts.
    """
    served = 1.0 - FIGURES.served_share * (1.0 - orchard.of_others.served)
    return int(np.argmax(np.where(may, worth(orchard) * served * share, -np.inf)))
