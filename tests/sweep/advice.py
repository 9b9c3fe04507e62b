"""The advice at some sites of the corpus, and how far two states of it lie apart."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np

from domain.orchard_site.conditions import SiteConditions, site_conditions
from domain.planting_list.list_request import PlantingListsRequest
from domain.planting_list.planting_lists import planting_lists
from domain.site_climate.site import Site
from domain.site_climate.site_years import SiteYears, site_years
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_request import SuitabilityRequest
from domain.tables.loading import load
from domain.tables.parameters import ParameterRoom
from domain.traits.catalogue import Catalogue
from tests.corpus.questions import sites
from tests.sweep.moving import ORDER

STANDARD = (
    "pin-cool-wet-hills", "pin-hot-humid-south", "pin-cold-river-plain", "pin-gulf-coast", "pin-dry-hot-valley",
    "pin-prairie", "pin-baltic", "pin-river-plate", "pin-highland-tropics", "figures-mild-hours",
)  # fmt: skip
"""Ten sites of the corpus, of every kind of climate."""
TOP = 25
MOVES_ONLY_LISTS: tuple[ParameterRoom, ...] = ("pollination", "trees", "planting_list")
"""Rooms that bear on lists and not on the ranking of cultivars."""
NOT_ASKED: tuple[ParameterRoom, ...] = ("ground", "year_of_work", "trunks")
"""Rooms that bear on neither: layouts, calendars and trees of several cultivars, which no question here asks for."""
MAKES_YEARS = ORDER[: ORDER.index("site_climate") + 1]
MAKES_CONDITIONS = ORDER[: ORDER.index("orchard_site") + 1]


@dataclass(frozen=True)
class Advice:
    """What a site is answered: cultivars in their order, the verdict of each, and the trees of its first list."""

    order: tuple[str, ...]
    verdicts: Mapping[str, str]
    trees: tuple[tuple[str, str | None, str | None], ...]


@dataclass(frozen=True)
class Change:
    """Shares (0 to 1), means over sites: pairs of cultivars that changed places, of the first cultivars and of the
    verdicts that changed, and of the trees of the first list."""

    pairs: float
    top: float
    verdicts: float
    trees: float

    @property
    def size(self) -> float:
        """The largest of the four, by which figures are ordered."""
        return max(self.pairs, self.top, self.verdicts, self.trees)


class Sites:
    """Some sites, with their years and conditions at today's figures for whatever a figure does not bear on."""

    def __init__(self, names: Sequence[str] = STANDARD, trees: int = 4) -> None:
        told = sites()
        self._bodies = [told[name] for name in names]
        self._trees = trees
        self._tables = load()
        self._years = [_years(body) for body in self._bodies]
        self._conditions = [site_conditions(years) for years in self._years]

    def advice(self, room: str | None = None) -> list[Advice]:
        """The advice at each site while a figure of `room` is moved; at today's figures if None."""
        catalogue = Catalogue(self._tables)
        if room in MAKES_CONDITIONS:
            years = map(_years, self._bodies) if room in MAKES_YEARS else self._years
            conditions = map(site_conditions, years)
        else:  # a copy remembers nothing of cultivars
            conditions = map(replace, self._conditions)
        return [self._advised(body, found, catalogue) for body, found in zip(self._bodies, conditions, strict=True)]

    def _advised(self, body: Mapping[str, object], conditions: SiteConditions, catalogue: Catalogue) -> Advice:
        judged = suitabilities(msgspec.convert({"site": body}, SuitabilityRequest), catalogue, conditions).suitabilities
        trees: tuple[tuple[str, str | None, str | None], ...] = ()
        if self._trees:
            asked = {"site": body, "space": {"tree_count": self._trees}, "lists": 1}
            lists = planting_lists(msgspec.convert(asked, PlantingListsRequest), catalogue, conditions)
            trees = tuple((t.id, t.rootstock, t.tree_form) for one in lists.planting_lists for t in one.trees)
        return Advice(tuple(one.id for one in judged), {one.id: one.verdict for one in judged}, trees)


def _years(body: Mapping[str, object]) -> SiteYears:
    return site_years(msgspec.convert(body, Site))


def change(before: Sequence[Advice], after: Sequence[Advice]) -> Change:
    """How far the advice at the same sites moved."""
    apart = np.array([_apart(one, other) for one, other in zip(before, after, strict=True)])
    pairs, top, verdicts, trees = apart.mean(axis=0).tolist()
    return Change(pairs, top, verdicts, trees)


def _apart(one: Advice, other: Advice) -> tuple[float, float, float, float]:
    place = {cultivar: n for n, cultivar in enumerate(other.order)}
    order = np.array([place[cultivar] for cultivar in one.order if cultivar in place])
    swapped = np.triu(order[:, None] > order[None, :], 1).sum() / max(order.size * (order.size - 1) / 2, 1)
    first = set(one.order[:TOP])
    top = len(first - set(other.order[:TOP])) / max(len(first), 1)
    verdicts = np.mean([other.verdicts.get(cultivar) != verdict for cultivar, verdict in one.verdicts.items()])
    trees = len(set(one.trees) - set(other.trees)) / max(len(set(one.trees)), 1)
    return float(swapped), top, float(verdicts), trees
