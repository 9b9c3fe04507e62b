"""Which cultivars of a stock together serve most of many gardens."""

from api.advisor import Advisor, Versions
from api.computations import computation
from domain.stock_orders.like_climates import judged_by
from domain.stock_orders.order_answer import StockOrder
from domain.stock_orders.order_request import StockOrderRequest
from domain.stock_orders.orders import stock_of, stock_order


class StockOrderAnswer(StockOrder, frozen=True, kw_only=True):
    """The stock that serves most of the gardens asked about."""

    versions: Versions


def choose_stock(asked: StockOrderRequest, advisor: Advisor) -> StockOrderAnswer:
    """Choose which cultivars to stock so that what each garden of a region is offered suits it best."""
    stock = stock_of(asked, advisor.catalogue)
    by = judged_by(asked.sites)
    conditions = advisor.conditions_of_each(by.sites(asked.sites), "sites", "site")
    return advisor.answer(StockOrderAnswer, stock_order(asked, advisor.catalogue, conditions, stock, by))


STOCK_ORDERS = computation(
    "/v1/stock-orders",
    choose_stock,
    operation_id="chooseStock",
    title="Which cultivars of a stock serve most gardens of a region",
    summary="Which cultivars of a stock serve most gardens of a region",
    tag="advice",
    examples=("lowmoor-nursery-stock-orders",),
)
