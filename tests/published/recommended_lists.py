"""The lists that say what to plant and what not, and what the program answers at their sites without their documents.

A list is its rows in reference_tables/observations/recommendations.csv and its site in data/recommended_lists.json (one
entry a list: where, which figures of the site are our judgement, and every document read for it). Another list is added
by rows and an entry; no code names a list. All documents of all lists, by address, are left out when traits are adopted
for these checks.
"""

import re
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import msgspec
import numpy as np

from domain.adoption.steps import adopt, evidence_of, with_adopted
from domain.orchard_site.conditions import SiteConditions
from domain.site_climate.site import Site
from domain.suitability.assess import assess
from domain.suitability.proven import distances_km
from domain.suitability.suitability_answer import Suitability
from domain.tables.cultivars import Cultivar
from domain.tables.loading import Tables
from domain.tables.witnesses import witnesses_without
from domain.traits.catalogue import Catalogue
from domain.traits.witnesses import Witnesses, gathered
from domain.weather.climatology import place_climate
from tests import shared
from tests.published.measures_of_order import Question, Value

COLD_COLDEST_MONTH_C, HOT_WARMEST_MONTH_C, MILD_COLDEST_MONTH_C = -3.0, 22.0, 8.0
"""Limits of the climate groups. The first two are those between Koeppen's classes C and D and of his hot summer (a),
from memory; the third is own judgement: from about there chill may fall short."""

CLIMATE_GROUPS = ("cold", "mild winter", "hot summer", "temperate")


def climate_group(latitude: float, longitude: float, elevation_m: float | None) -> str:
    """The climate group of a place, from the means of the coldest and the warmest month of the embedded climatology."""
    months = place_climate(latitude, longitude, elevation_m).tmean_c
    if months.min() < COLD_COLDEST_MONTH_C:
        return "cold"
    if months.min() >= MILD_COLDEST_MONTH_C:
        return "mild winter"
    return "hot summer" if months.max() >= HOT_WARMEST_MONTH_C else "temperate"


class Document(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A document read for a list."""

    title: str
    url: str
    authors: str = ""
    publisher: str = ""
    year: str = ""


class ListSite(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Where a list holds: the site that is asked for it, and which of its figures are our judgement.

    no_spray: whether the list turns cultivars away for what disease does to unsprayed fruit in home gardens: the
    program is asked the same. fitted_on: whether a figure of the program was tuned on this list. What was must be
    reported apart.
    """

    list_id: str
    region: str
    grade: str
    site: Site
    judged_figures: tuple[str, ...]
    sources: tuple[Document, ...]
    no_spray: bool = False
    fitted_on: bool = False

    @property
    def climate(self) -> str:
        """Its climate group."""
        assert self.site.latitude is not None
        assert self.site.longitude is not None
        return climate_group(self.site.latitude, self.site.longitude, self.site.elevation_m)


class Entry(msgspec.Struct, frozen=True):
    """One cultivar of a list: recommended, trial or not_recommended, and the reason given."""

    cultivar_id: str
    verdict: str
    reason: str


class Lists:
    """All lists: `sites` and `entries` by list id, and the documents to leave out."""

    def __init__(self, tables: Tables) -> None:
        path = Path(__file__).with_name("data") / "recommended_lists.json"
        self.sites = {one.list_id: one for one in msgspec.json.decode(path.read_bytes(), type=tuple[ListSite, ...])}
        self.entries: dict[str, list[Entry]] = {}
        self._urls: dict[str, set[str]] = {}
        for row in tables.by_topic["recommendations"]:
            self.entries.setdefault(row.list_id, []).append(Entry(row.cultivar_id, row.published, row.note))
            self._urls.setdefault(row.list_id, set()).add(tables.sources[row.source_id].document)

    def documents(self, list_id: str) -> frozenset[str]:
        """Addresses of the documents of a list, or ids where they have none, those of its site included."""
        return frozenset(document.url for document in self.sites[list_id].sources) | self._urls[list_id]

    @property
    def all_documents(self) -> frozenset[str]:
        """The documents of all lists."""
        return frozenset().union(*(self.documents(list_id) for list_id in self.entries))

    def named(self, list_id: str, verdict: str, reason: str = "") -> tuple[str, ...]:
        """Cultivars of a verdict whose published reason holds a pattern."""
        entries = self.entries[list_id]
        return tuple(e.cultivar_id for e in entries if e.verdict == verdict and re.search(reason, e.reason))

    def fame(self, _list_id: str, cultivar_id: str) -> float:
        """How many lists recommend a cultivar, the one asked included.

        Pairs are matched on this whole count: among cultivars that as many lists recommend, which lists these are
        would be a matter of chance if lists knew nothing of their region.
        """
        return float(sum(cultivar_id in recommended for recommended in self._recommended.values()))

    def popularity(self, list_id: str, cultivar_id: str) -> float | None:
        """How many lists of other documents recommend a cultivar; None if none of them names it."""
        own = self.documents(list_id)
        others = [other for other in self.entries if not own & self.documents(other)]
        if not any(entry.cultivar_id == cultivar_id for other in others for entry in self.entries[other]):
            return None
        return float(sum(cultivar_id in self._recommended[other] for other in others))

    @cached_property
    def _recommended(self) -> dict[str, frozenset[str]]:
        return {list_id: frozenset(self.named(list_id, "recommended")) for list_id in self.entries}

    def above_advised_against(self, reason: str = "") -> list[Question]:
        """Recommended above expressly advised against on the same list, of those only whose reason holds a pattern."""
        return [
            Question(
                list_id,
                self.documents(list_id),
                self.named(list_id, "recommended"),
                self.named(list_id, "not_recommended", reason),
            )
            for list_id in self.entries
        ]

    def above_other_regions(self) -> list[Question]:
        """Recommended here above what other lists recommend and this one does not name."""
        questions = []
        for list_id, entries in self.entries.items():
            here = {entry.cultivar_id for entry in entries}
            elsewhere = frozenset().union(*(self._recommended[other] for other in self.entries if other != list_id))
            questions.append(
                Question(
                    list_id,
                    self.documents(list_id),
                    self.named(list_id, "recommended"),
                    tuple(sorted(elsewhere - here)),
                )
            )
        return questions


@dataclass(frozen=True)
class Answers:
    """What the program answers at the site of every list, (list id, cultivar id) -> its suitability and its place.

    places: where it stands in the answer, 0 for the best; cultivars that no rank value can be given have one too.
    """

    suitabilities: dict[tuple[str, str], Suitability]
    places: dict[tuple[str, str], int]

    def rank_value(self, list_id: str, cultivar_id: str) -> float | None:
        """None for a cultivar that is not advised on."""
        found = self.suitabilities.get((list_id, cultivar_id))
        return None if found is None else found.rank_value

    def standing(self, list_id: str, cultivar_id: str) -> float | None:
        """How high it stands in the answer, the higher the better; None if it is not judged."""
        place = self.places.get((list_id, cultivar_id))
        return None if place is None else -float(place)

    def verdict(self, list_id: str, cultivar_id: str) -> str:
        """`not_known` for a cultivar that is not judged at all."""
        found = self.suitabilities.get((list_id, cultivar_id))
        return "not_known" if found is None else found.verdict


def adopted_without(tables: Tables, urls: frozenset[str], *, published_alone: bool = False) -> tuple[Cultivar, ...]:
    """The cultivars as they would be known without some documents; on wish without imputed and remembered values."""
    numbers, findings = adopt(evidence_of(tables, urls, from_memory=not published_alone))
    if published_alone:
        numbers = {key: number for key, number in numbers.items() if number.basis != "imputed"}
    return with_adopted(tables.cultivars, numbers, findings)


def list_conditions(lists: Lists) -> dict[str, SiteConditions]:
    """The years at the site of every list."""
    return {list_id: shared.conditions(lists.sites[list_id].site) for list_id in lists.entries}


def witnesses_beside(
    tables: Tables, lists: Lists, list_id: str, cultivars: tuple[Cultivar, ...], hidden_km: float = 0.0
) -> Witnesses:
    """The witnesses without the documents of a list, on wish also without all that stand so near its site."""
    site, places = lists.sites[list_id].site, tables.witness_places
    assert site.latitude is not None
    on_earth = np.radians([(place.latitude, place.longitude) for place in places])
    km = distances_km(on_earth, site.latitude, site.longitude)
    far = {place.place_id for place, away in zip(places, km.tolist(), strict=True) if away >= hidden_km}
    kept = witnesses_without(tables.witnesses, tables.sources, lists.documents(list_id))
    return gathered([one for one in kept if one.place_id in far], places, cultivars)


def answers(
    tables: Tables,
    lists: Lists,
    conditions: dict[str, SiteConditions],
    cultivars: tuple[Cultivar, ...],
    hidden_km: float = 0.0,
) -> Answers:
    """Judge every cultivar that a list names at the site of every list, its documents left out of the witnesses too."""
    catalogue = Catalogue(replace(tables, cultivars=cultivars))
    named = {entry.cultivar_id for entries in lists.entries.values() for entry in entries}
    traits = catalogue.choose([c for c in cultivars if c.id in named and c.status == "advised"])
    judged = {
        list_id: assess(
            site,
            replace(traits, witnesses=witnesses_beside(tables, lists, list_id, cultivars, hidden_km)),
            no_spray=lists.sites[list_id].no_spray,
        )
        for list_id, site in conditions.items()
    }
    return Answers(
        {(list_id, one.id): one for list_id, order in judged.items() for one in order},
        {(list_id, one.id): place for list_id, order in judged.items() for place, one in enumerate(order)},
    )


def naive_orders(
    lists: Lists, conditions: dict[str, SiteConditions], cultivars: tuple[Cultivar, ...]
) -> dict[str, Value]:
    """Orders by one figure: how often other lists recommend a cultivar, its chill alone, its hardiness alone."""
    by_id = {cultivar.id: cultivar for cultivar in cultivars}

    def chill(list_id: str, cultivar_id: str) -> float:
        site = float(np.median(conditions[list_id].clock.chill_total))
        return min(0.0, site - by_id[cultivar_id].numbers["chill_portions"].value)

    def zone(list_id: str, cultivar_id: str) -> float:
        coldest = float(conditions[list_id].winter_minimum_c.mean())
        return min(0.0, coldest - by_id[cultivar_id].numbers["hardiness_c"].value)

    return {"popularity alone": lists.popularity, "chill alone": chill, "hardiness alone": zone}
