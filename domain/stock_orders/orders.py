"""From a request of `stock-orders` and the conditions of its sites to the stock that serves most."""

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np

from domain.common.asked_names import KnownNames, Names, known_names, resolve_names
from domain.common.assumptions import Assumption
from domain.common.faults import ContentFault, ContentFaults, collecting, pointer
from domain.orchard_site.conditions import SiteConditions
from domain.planting_list.list_answer import NamedCultivar
from domain.planting_list.tree_worth import FIGURES as WORTH
from domain.stock_orders.choice import Worths, best_stock, stock_value
from domain.stock_orders.like_climates import JudgedBy
from domain.stock_orders.order_answer import Offered, SiteOffer, StockedCultivar, StockOrder
from domain.stock_orders.order_request import StockOrderRequest
from domain.suitability.factors import Verdict
from domain.suitability.ranking import rank_values
from domain.suitability.site_fit import site_fit
from domain.suitability.suitabilities import told_of_names
from domain.suitability.suitability_request import Weights
from domain.suitability.verdicts import verdicts
from domain.tables.cultivars import Cultivar
from domain.tables.words import Sentence
from domain.traits.catalogue import Catalogue
from domain.traits.trait_table import TraitTable

SAME = 1e-6


@dataclass(frozen=True)
class Stock:
    """The cultivars that may be stocked, those that must be, and what of the names was not known."""

    cultivars: tuple[Cultivar, ...]
    must: tuple[int, ...]
    names: KnownNames


def stock_of(request: StockOrderRequest, catalogue: Catalogue) -> Stock:
    """Resolve the names of a request. Raises ContentFaults with every fault of names, ids and counts."""
    names, faults = catalogue.tables.names, list[ContentFault]()
    must: tuple[str, ...] = ()
    with collecting(faults):
        must = resolve_names(names, request.must_stock, "must_stock")
    if request.unknown_names == "refuse":
        with collecting(faults):
            resolve_names(names, request.available or (), "available", once=False)
    seen: dict[str, int] = {}
    for n, one in enumerate(request.sites):
        if seen.setdefault(one.id, n) != n:
            detail = f"“{one.id}” is the id of another site too; expected each id once."
            faults.append(ContentFault(pointer("sites", n, "id"), detail))
    if len(must) > request.kinds_at_most:
        detail = f"{len(must)} cultivars must be stocked, more than kinds_at_most, {request.kinds_at_most}."
        faults.append(ContentFault(pointer("kinds_at_most"), detail))
    if faults:
        raise ContentFaults(faults)
    found = known_names(names, request.available or ())
    advised = (cultivar.id for cultivar in catalogue.advised.cultivars)
    ids = list(dict.fromkeys([*must, *(advised if request.available is None else found.asked)]))
    if not ids:
        raise ContentFaults([ContentFault(pointer("available"), "No cultivar is known by any of these names.")])
    return Stock(tuple(catalogue.tables.by_id[one] for one in ids), tuple(range(len(must))), found)


@dataclass(frozen=True)
class StockAtSite:
    """A stock at one site: what each cultivar is worth there (n,), its rank value (n,) and its verdict."""

    worth: Worths
    rank: Worths
    verdict: tuple[Verdict, ...]
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Sentence, ...]


def stock_order(
    request: StockOrderRequest,
    judged: Sequence[StockAtSite],
    stock: Stock,
    judged_by: JudgedBy,
    names: Names,
) -> StockOrder:
    """The stock that serves most. judged: the stock at each site, in order. names: those that are known."""
    worth = np.stack([one.worth for one in judged])
    weight = np.array([one.weight for one in request.sites])
    weight = weight / weight.sum()
    offered = request.offered_to_each
    best = best_stock(*_apart(worth, weight), request.kinds_at_most, offered, stock.must)
    more, with_more = _one_more(worth, weight, best.chosen, offered)
    offers = [
        _told(_offer(request, n, one, stock, best.chosen), judged_by.told(request.sites, n))
        for n, one in enumerate(judged)
    ]
    return StockOrder(
        stock=tuple(
            _stocked(stock, column, offers, weight, best.value - _without(worth, weight, best.chosen, column, offered))
            for column in best.chosen
        ),
        value=round(best.value, 4),
        best_possible_value=round(best.bound, 4),
        best_proven=best.bound - best.value < SAME,
        with_one_more=None if more is None else _named(stock.cultivars[more]),
        value_with_one_more=round(with_more, 4),
        sites=tuple(offers),
        unserved=tuple(offer.id for offer in offers if not offer.offered),
        warnings=told_of_names(stock.names, names),
    )


def stock_at_site(at: SiteConditions, traits: TraitTable, weights: Weights) -> StockAtSite:
    """What each cultivar is worth at a site: its rank value, less where it is only worth trying, else nothing."""
    fit = site_fit(at, traits)
    rank = rank_values(fit, weights).astype(np.float64)
    verdict = verdicts(fit)
    share = np.array([{"plant": 1.0, "worth_trying": WORTH.trying_share}.get(one, 0.0) for one in verdict])
    return StockAtSite(rank * share, rank, tuple(verdict), at.years.assumptions, at.years.warnings)


def _one_more(worth: Worths, weight: Worths, chosen: Sequence[int], offered: int) -> tuple[int | None, float]:
    """The cultivar that would add most to a stock, and the value with it."""
    now = stock_value(worth, weight, chosen, offered)
    rest = [column for column in range(worth.shape[1]) if column not in set(chosen)]
    values = [stock_value(worth, weight, [*chosen, column], offered) for column in rest]
    if not values or max(values) - now < SAME:
        return None, now
    best = int(np.argmax(values))
    return rest[best], values[best]


def _apart(worth: Worths, weight: Worths) -> tuple[Worths, Worths]:
    """The sites at which the stock is worth different things, and their weights: those of equal worth weigh as one."""
    _, first, of = np.unique(worth, axis=0, return_index=True, return_inverse=True)
    order = np.argsort(first)
    return worth[first[order]], np.bincount(of.ravel(), weights=weight)[order].astype(np.float64)


def _offer(request: StockOrderRequest, n: int, judged: StockAtSite, stock: Stock, chosen: Sequence[int]) -> SiteOffer:
    order = sorted((column for column in chosen if judged.worth[column] > 0), key=lambda c: (-judged.worth[c], c))
    told = order[: request.offered_to_each]
    return SiteOffer(
        id=request.sites[n].id,
        weight=request.sites[n].weight,
        value=round(float(judged.worth[told].sum()) / request.offered_to_each, 4),
        offered=tuple(
            Offered(
                cultivar=stock.cultivars[column].name,
                id=stock.cultivars[column].id,
                verdict=judged.verdict[column],
                rank_value=round(float(judged.rank[column]), 4),
            )
            for column in told
        ),
        assumptions=judged.assumptions,
        warnings=judged.warnings,
    )


def _told(offer: SiteOffer, first: tuple[Assumption, ...]) -> SiteOffer:
    """The offer with what is taken for granted of its garden beside what is of its climate."""
    return msgspec.structs.replace(offer, assumptions=(*first, *offer.assumptions)) if first else offer


def _without(worth: Worths, weight: Worths, chosen: Sequence[int], column: int, offered: int) -> float:
    """The value of a stock without one of its cultivars."""
    return stock_value(worth, weight, [other for other in chosen if other != column], offered)


def _stocked(stock: Stock, column: int, offers: Sequence[SiteOffer], weight: Worths, lost: float) -> StockedCultivar:
    cultivar = stock.cultivars[column]
    served = [n for n, offer in enumerate(offers) if any(one.id == cultivar.id for one in offer.offered)]
    return StockedCultivar(
        cultivar=cultivar.name,
        id=cultivar.id,
        asked=stock.names.asked.get(cultivar.id),
        share_of_customers=round(float(weight[served].sum()), 3),
        value_lost_without=round(lost, 4),
    )


def _named(cultivar: Cultivar) -> NamedCultivar:
    return NamedCultivar(cultivar=cultivar.name, id=cultivar.id)
