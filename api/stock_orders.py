"""Which cultivars of a stock together serve most of many gardens."""

from collections.abc import Callable, Sequence
from functools import partial
from typing import NamedTuple

import msgspec

from api.advisor import Advisor, Versions
from api.computations import computation
from domain.common.faults import ContentFaults
from domain.site_climate.site import Site
from domain.stock_orders.like_climates import JudgedBy, judged_by
from domain.stock_orders.order_answer import StockOrder
from domain.stock_orders.order_request import StockOrderRequest
from domain.stock_orders.orders import Stock, StockAtSite, stock_at_site, stock_of, stock_order
from domain.suitability.suitability_request import Weights


class StockOrderAnswer(StockOrder, frozen=True, kw_only=True):
    """The stock that serves most of the gardens asked about."""

    versions: Versions


REMEMBERED_OF_AN_ORDER = 2
"""Climates of an order that are kept for further requests: each holds some 15 MB."""


class _Prepared(NamedTuple):
    """The stock, by whose climate each garden is judged, the work of each climate, and whose each garden is."""

    stock: Stock
    by: JudgedBy
    work: Sequence[Callable[[], StockAtSite]]
    of: Sequence[int]


def _prepared(asked: StockOrderRequest, advisor: Advisor) -> _Prepared:
    """What an order needs. Raises ContentFaults with the faults of the request."""
    stock, by = stock_of(asked, advisor.catalogue), judged_by(asked.sites)
    sites = by.sites(asked.sites)
    advisor.check_each(sites, "sites", "site")
    once = {msgspec.json.encode(site): site for site in sites}
    place = {key: n for n, key in enumerate(once)}
    traits, weights = advisor.catalogue.choose(list(stock.cultivars)), asked.weights or Weights()

    def judged(n: int, site: Site) -> StockAtSite:
        at = advisor.conditions_apart(site, remember=n < REMEMBERED_OF_AN_ORDER)
        return stock_at_site(at, traits, weights)

    work = [partial(judged, n, site) for n, site in enumerate(once.values())]
    return _Prepared(stock, by, work, [place[msgspec.json.encode(site)] for site in sites])


def climates_apart(asked: StockOrderRequest, advisor: Advisor) -> Sequence[Callable[[], StockAtSite]]:
    """The work of each climate of an order; none where the order is refused."""
    try:
        return _prepared(asked, advisor).work
    except ContentFaults:
        return []


def choose_stock(
    asked: StockOrderRequest, advisor: Advisor, climates: Sequence[StockAtSite] | None = None
) -> StockOrderAnswer:
    """Choose which cultivars to stock so that what each garden of a region is offered suits it best."""
    stock, by, work, of = _prepared(asked, advisor)
    found = [one() for one in work] if climates is None else climates
    order = stock_order(asked, [found[n] for n in of], stock, by, advisor.tables.names)
    return advisor.answer(StockOrderAnswer, order)


STOCK_ORDERS = computation(
    "/v1/stock-orders",
    choose_stock,
    operation_id="chooseStock",
    title="Which cultivars of a stock serve most gardens of a region",
    summary="Which cultivars of a stock serve most gardens of a region",
    tag="advice",
    apart=climates_apart,
    examples=("lowmoor-nursery-stock-orders",),
)
