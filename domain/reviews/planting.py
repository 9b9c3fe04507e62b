"""The planting that is reviewed: its names resolved, its dates and places checked, whatever the site."""

import datetime
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from domain.common.asked_names import Names
from domain.common.faults import ContentFault, ContentFaults, collecting, pointer
from domain.ground.standing_tree import day_of, stock_and_form, years_planted
from domain.planting_list.wishes import Standing, around, can_be_had
from domain.reviews.places import Places, places
from domain.reviews.review_request import PlantingListReviewRequest, ReviewedTree


@dataclass(frozen=True)
class Planting:
    """A request with its names and dates resolved."""

    request: PlantingListReviewRequest
    trees: tuple[Standing, ...]
    stocks: tuple[str | None, ...]
    nearby: tuple[Standing, ...]
    available: frozenset[str] | None
    stocks_sold: frozenset[str] | None
    """Cultivars and rootstocks that can be had; None where that is not told."""
    as_of: datetime.date | None
    forms: tuple[str | None, ...]
    places: Places

    @property
    def named(self) -> frozenset[str]:
        """Every cultivar of the planting and near it."""
        return frozenset(tree.cultivar_id for tree in (*self.trees, *self.nearby) if tree.cultivar_id is not None)

    def age(self, tree: ReviewedTree) -> float | None:
        """Years since a tree was planted; None where that is not told, or it is not planted yet."""
        if tree.state == "planned" or tree.year_planted is None or self.as_of is None:
            return None
        return float(self.as_of.year - tree.year_planted) + self._of_year / 365.0 - 0.25

    @cached_property
    def _of_year(self) -> int:
        """Day of the year of today."""
        return 0 if self.as_of is None else self.as_of.timetuple().tm_yday

    def label(self, place: int, name: str) -> str:
        """What a tree is called in the answer: its label, else what it is."""
        return self.trees[place].label or name


def planting(request: PlantingListReviewRequest, names: Names) -> Planting:
    """Resolve a request. Raises ContentFaults with every fault of names and dates."""
    faults: list[ContentFault] = []
    trees: tuple[Standing, ...] = ()
    nearby: tuple[Standing, ...] = ()
    as_of: datetime.date | None = None
    with collecting(faults):
        trees = around(names, request.trees, "trees", request.unknown_names)
    with collecting(faults):
        nearby = around(names, request.nearby_pollen, "nearby_pollen", request.unknown_names)
    available: frozenset[str] | None = None
    stocks_sold: frozenset[str] | None = None
    if request.available is not None:
        with collecting(faults):
            available, stocks_sold = can_be_had(names, request.available, request.unknown_names)
    today = request.site.as_of if request.as_of is None else request.as_of
    with collecting(faults):
        as_of = _today(request)
    stocks: list[str | None] = []
    forms: list[str | None] = []
    for n, tree in enumerate(request.trees):
        with collecting(faults):
            stock, form = stock_and_form(tree, "trees", n)
            stocks.append(stock)
            forms.append(form)
        if tree.year_planted is not None or tree.seen:
            with collecting(faults):
                _check_dates(tree, n, today, as_of)
    stand = Places(np.empty((0, 2)))
    with collecting(faults):
        stand = places(request)
    if faults:
        raise ContentFaults(faults)
    return Planting(request, trees, tuple(stocks), nearby, available, stocks_sold, as_of, tuple(forms), stand)


def _today(request: PlantingListReviewRequest) -> datetime.date | None:
    """The day of today, if it is told. Raises ContentFaults for one that no calendar has, and for two that differ.

    A bad day in the site is refused by the checks of the site.
    """
    of_site = day_of(request.site.as_of)
    if request.as_of is None:
        return of_site
    day = _day(request.as_of, pointer("as_of"))
    if of_site is not None and day != of_site:
        detail = f"{request.as_of} is not the as_of of the site, {request.site.as_of}; expected one day of today."
        raise ContentFaults([ContentFault(pointer("as_of"), detail)])
    return day


def _day(text: str, place: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError as error:
        raise ContentFaults([ContentFault(place, f"No calendar has a {text}; expected a day YYYY-MM-DD.")]) from error


def _check_dates(tree: ReviewedTree, n: int, told: str | None, as_of: datetime.date | None) -> None:
    """told: the day of today as told; as_of: the same, if a calendar has it."""
    faults: list[ContentFault] = []
    with collecting(faults):
        years_planted(tree, told, "trees", n)
    if told is None and tree.seen:
        faults.append(ContentFault(pointer("trees", n, "seen"), "Dates seen need as_of, the day of today."))
    if tree.state == "planned" and tree.year_planted is not None:
        detail = "A planned tree is not planted yet; expected state standing, or no year_planted."
        faults.append(ContentFault(pointer("trees", n, "year_planted"), detail))
    for k, seen in enumerate(tree.seen):
        with collecting(faults):
            day = _day(seen.date, pointer("trees", n, "seen", k, "date"))
            if as_of is not None and day > as_of:
                detail = f"{seen.date} is after as_of; expected a day up to it."
                faults.append(ContentFault(pointer("trees", n, "seen", k, "date"), detail))
    if faults:
        raise ContentFaults(faults)


def asks_for_all(planted: Planting) -> bool:
    """Whether a planting is judged among all cultivars: a tree without a name, or a neighbour's, may be any of them."""
    unnamed = any(tree.cultivar_id is None for tree in (*planted.trees, *planted.nearby))
    return unnamed or planted.request.neighbourhood == "settled"
