"""The open lists: those of recommended_lists.py and those that stand among the witnesses, each without its document.

The lists among the witnesses (observations/witnesses.csv, a `list_id`) have a place and no figures of their site. What
stands in parameters/suitability.csv under `proven` was fitted on them: their figures are a fit, those of
recommended_lists.py a check. ``python -m tests.published.open_lists`` prints both; a document's lists have at most
three votes. A list whose own words say that nobody sprays is asked so, whatever it recommends or turns away; what every
list gives that is asked as though all sprayed stands beside it.
"""

import copy
import re
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import msgspec

from domain.orchard_site.conditions import SiteConditions
from domain.orchard_site.conditions import site_conditions as conditions_of
from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from domain.tables.cultivars import Cultivar
from domain.tables.loading import TABLES, Tables, load
from domain.tables.observations import Source
from reference_tables.building.published import read_table
from reference_tables.building.schemas.witnesses import LISTED_KINDS
from tests.published.measures_of_order import Found, mean_by_document, mean_of_shares, shares_in_order
from tests.published.recommended_lists import (
    CLIMATE_GROUPS,
    Answers,
    Entry,
    Lists,
    ListSite,
    adopted_without,
    answers,
)

MOST_VOTES = 3.0
LEAST_NAMES = 3
HIDDEN_KM = (0.0, 300.0, 1000.0)
VERDICTS = {kind: verdict for verdict, kind in LISTED_KINDS.items()}
UNSPRAYED = re.compile(r"\bunsprayed\b|\b(without|no|never|nobody) spray(s|ed|ing)?\b|\bno-spray\b|\blow-care\b")
"""What says that nobody sprays, in lower case. Not "organic": such growers spray, with other means."""


class OpenLists(Lists):
    """All open lists; `fitted` holds the ids of those among the witnesses."""

    def __init__(self, tables: Tables) -> None:
        super().__init__(tables)
        own = frozenset(self.entries)
        sources: Mapping[str, Source] = tables.sources
        for row in read_table(TABLES / "observations" / "witnesses.csv"):
            if not row["list_id"]:
                continue
            # A few lists were read twice, by two documents: each is a list of its own.
            list_id = f"{row['list_id']} (witnesses)" if row["list_id"] in own else row["list_id"]
            site = Site(
                latitude=float(row["latitude"]),
                longitude=float(row["longitude"]),
                elevation_m=float(row["elevation_m"]) if row["elevation_m"] else None,
            )
            self.sites.setdefault(list_id, ListSite(list_id, row["place"], "", site, (), (), fitted_on=True))
            entry = Entry(row["cultivar_id"], VERDICTS[row["kind"]], row["words"])
            self.entries.setdefault(list_id, []).append(entry)
            self._urls.setdefault(list_id, set()).add(sources[row["source_id"]].document)
        self.fitted = frozenset(self.entries) - own
        for list_id in self.fitted:
            if self._speaks_of_unsprayed(list_id):
                self.sites[list_id] = msgspec.structs.replace(self.sites[list_id], no_spray=True)

    def _speaks_of_unsprayed(self, list_id: str) -> bool:
        """Whether the words of its place or of any entry, recommended or not, say that nobody sprays."""
        told = (self.sites[list_id].region, *(entry.reason for entry in self.entries[list_id]))
        return any(UNSPRAYED.search(words.lower()) is not None for words in told)

    @property
    def unsprayed(self) -> frozenset[str]:
        """The lists that are asked with `no_spray`."""
        return frozenset(list_id for list_id in self.entries if self.sites[list_id].no_spray)


@dataclass(frozen=True)
class OpenJudged:
    """The open lists, the years at their sites, and cultivars adopted without all of their documents."""

    tables: Tables
    lists: OpenLists
    cultivars: tuple[Cultivar, ...]

    @cached_property
    def conditions(self) -> dict[str, SiteConditions]:
        """The years at the site of every list."""
        return {name: conditions_of(site_years(self.lists.sites[name].site)) for name in self.lists.entries}

    def answers(self, hidden_km: float) -> Answers:
        """What the program answers with the witnesses hidden that stand so near."""
        return answers(self.tables, self.lists, self.conditions, self.cultivars, hidden_km)

    def as_sprayed(self, found: Answers) -> Answers:
        """The same answers, but those of lists where nobody sprays as though somebody did."""
        lists = copy.copy(self.lists)
        lists.sites = {name: msgspec.structs.replace(site, no_spray=False) for name, site in self.lists.sites.items()}
        conditions = {name: self.conditions[name] for name in self.lists.unsprayed}
        sprayed = answers(self.tables, lists, conditions, self.cultivars)
        return Answers(found.suitabilities | sprayed.suitabilities, found.places | sprayed.places)


def open_judged(tables: Tables) -> OpenJudged:
    """Adopt without the documents of all open lists."""
    lists = OpenLists(tables)
    return OpenJudged(tables, lists, adopted_without(tables, lists.all_documents))


def lines(judged: OpenJudged) -> Iterator[str]:
    """Every measure, for all lists, those fitted on and the others, and by climate."""
    lists = judged.lists
    questions = {"rejected": lists.above_advised_against(), "others": lists.above_other_regions()}
    yield f"asked with no_spray: {', '.join(sorted(lists.unsprayed))}"
    for hidden in HIDDEN_KM:
        found = judged.answers(hidden)
        told = f", witnesses within {hidden:.0f} km hidden" if hidden else ""
        yield from _shown(lists, f"above rejected{told}", shares_in_order(questions["rejected"], found.rank_value))
        yield from _shown(lists, f"above others{told}", shares_in_order(questions["others"], found.rank_value))
        matched = shares_in_order(questions["others"], found.rank_value, lists.fame)
        yield from _shown(lists, f"above others, matched for fame{told}", matched)
        for kind, verdicts in (("recommended", ("plant", "not_here")), ("not_recommended", ("plant", "not_here"))):
            for verdict in verdicts:
                yield from _called(lists, found, kind, verdict, told)
        if not hidden:
            sprayed, told = judged.as_sprayed(found), ", all asked as sprayed"
            yield from _shown(
                lists, f"above rejected{told}", shares_in_order(questions["rejected"], sprayed.rank_value)
            )
            for kind in ("recommended", "not_recommended"):
                yield from _called(lists, sprayed, kind, "plant", told)
    for name, asked in questions.items():
        yield from _shown(lists, f"above {name}: popularity alone", shares_in_order(asked, lists.popularity))


def _groups(lists: OpenLists) -> Iterator[tuple[str, frozenset[str]]]:
    every = frozenset(lists.entries)
    yield "all lists", every
    yield "fitted on", lists.fitted
    yield "not fitted on", every - lists.fitted
    for climate in CLIMATE_GROUPS:
        yield climate, frozenset(name for name in every if lists.sites[name].climate == climate)


def _shown(lists: OpenLists, measure: str, found: Mapping[str, Found]) -> Iterator[str]:
    for group, names in _groups(lists):
        mean = mean_of_shares({name: one for name, one in found.items() if name in names}, most_votes=MOST_VOTES)
        if mean is not None:
            yield f"{measure:55s} {group:14s} {mean.value:.3f} n {mean.n}"


def _called(lists: OpenLists, found: Answers, kind: str, verdict: str, told: str) -> Iterator[str]:
    named = {name: lists.named(name, kind) for name in lists.entries}
    shares = {
        name: sum(found.verdict(name, one) == verdict for one in ones) / len(ones)
        for name, ones in named.items()
        if len(ones) >= LEAST_NAMES
    }
    documents = {name: lists.documents(name) for name in lists.entries}
    for group, names in _groups(lists):
        mean = mean_by_document({n: s for n, s in shares.items() if n in names}, documents, MOST_VOTES)
        if mean is not None:
            yield f"{f'{kind} called {verdict}{told}':55s} {group:14s} {mean.value:.3f} n {mean.n}"


if __name__ == "__main__":
    for line in lines(open_judged(load())):
        sys.stdout.write(line + "\n")
        sys.stdout.flush()
