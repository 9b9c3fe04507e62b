"""The answer of `stock-orders`."""

import msgspec

from domain.common.assumptions import Assumption
from domain.planting_list.list_answer import NamedCultivar
from domain.suitability.factors import Verdict
from domain.tables.words import Sentence


class StockedCultivar(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar to stock: the share of all customers that it is offered to, and what is lost without it."""

    cultivar: str
    id: str
    asked: str | None
    share_of_customers: float
    value_lost_without: float


class Offered(msgspec.Struct, frozen=True, kw_only=True):
    """A cultivar of the stock as a garden is offered it."""

    cultivar: str
    id: str
    verdict: Verdict
    rank_value: float


class SiteOffer(msgspec.Struct, frozen=True, kw_only=True):
    """What the gardens of a site are offered, best first; fewer than asked where the stock has no more that suit."""

    id: str
    weight: float
    value: float
    offered: tuple[Offered, ...]
    assumptions: tuple[Assumption, ...]
    """What is taken for granted of its climate."""
    warnings: tuple[Sentence, ...]


class StockOrder(msgspec.Struct, frozen=True, kw_only=True):
    """The stock that serves most. Values are means over customers of the worth of what they are offered, 0 to 1.

    `best_possible_value` is proven: no other stock of as many kinds is worth more. `with_one_more`: the cultivar that
    would add most, and the value with it; null where nothing adds.
    """

    stock: tuple[StockedCultivar, ...]
    value: float
    best_possible_value: float
    best_proven: bool
    with_one_more: NamedCultivar | None
    value_with_one_more: float
    sites: tuple[SiteOffer, ...]
    unserved: tuple[str, ...]
    warnings: tuple[Sentence, ...]
