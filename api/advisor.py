"""What the handlers share: the tables, read once at start, and the conditions of the sites asked about last."""

import datetime as dt
import hashlib
import threading
from collections import OrderedDict
from collections.abc import Callable, Iterable
from typing import TypeVar

import msgspec

from api import __version__
from domain.common.asked_names import resolve_each
from domain.common.faults import ContentFault, ContentFaults, check_all, collecting, pointer
from domain.orchard_site.conditions import SiteConditions, site_conditions
from domain.orchard_site.observed_dates import with_observed_dates
from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from domain.tables.loading import Tables
from domain.tables.observations import Source
from domain.tables.rootstocks import rootstock_names
from domain.tables.tree_forms import tree_form_names
from domain.traits.catalogue import Catalogue

MOST_WARMING_C = 5.0
"""Bound of a site's `warming_c`, whichever way it is asked for."""

Answer = TypeVar("Answer", bound=msgspec.Struct)


class Versions(msgspec.Struct, frozen=True, kw_only=True):
    """What an answer was computed with: equal requests to equal versions get equal answers."""

    program: str
    tables: str


class Advisor:
    """The tables and what is remembered of earlier requests. Safe to use from several threads."""

    def __init__(self, tables: Tables, remembered_sites: int) -> None:
        self.tables = tables
        self.catalogue = Catalogue(tables)
        self.versions = Versions(program=__version__, tables=tables.version)
        self._remembered_sites = remembered_sites
        self._conditions: OrderedDict[bytes, SiteConditions] = OrderedDict()
        self._lock = threading.Lock()
        rootstock_names(), tree_form_names()  # read at start too, so that a bad row is told then

    def conditions(self, site: Site, also: Callable[[], object] = lambda: None) -> SiteConditions:
        """What a site holds for every cultivar; a site asked about again costs a lookup.

        also: the check of the rest of the request. Raises ContentFaults with its faults and those of the site.
        """
        faults: list[ContentFault] = []
        with collecting(faults):
            also()
        with collecting(faults):
            self._check_observed(site)
        readable = msgspec.structs.replace(site, observed_dates=()) if faults else site
        with collecting(faults):
            found = self._remembered(readable)
        if faults:
            raise ContentFaults(faults)
        return found

    def if_warmer(self, site: Site, by_c: float | None) -> SiteConditions | None:
        """What a site that the request tells well would hold if it were so much warmer; None where that is not asked.

        Raises ContentFaults where that goes past the warming of a site.
        """
        if by_c is None:
            return None
        if site.warming_c + by_c > MOST_WARMING_C:
            detail = f"Together with the site's warming_c this is {site.warming_c + by_c:g} C; expected at most 5."
            raise ContentFaults([ContentFault(pointer("warmer_by_c"), detail)])
        return self._remembered(msgspec.structs.replace(site, warming_c=site.warming_c + by_c))

    def answer(self, model: type[Answer], computed: msgspec.Struct, **more: object) -> Answer:
        """What was computed, together with the versions it was computed with and whatever the API adds."""
        fields = {field: getattr(computed, field) for field in computed.__struct_fields__}
        return model(**fields, **more, versions=self.versions)

    def sources(self, named: Iterable[str]) -> tuple[Source, ...]:
        """The sources of these ids, by id, each once."""
        return tuple(self.tables.sources[source_id] for source_id in sorted(set(named)))

    def _check_observed(self, site: Site) -> None:
        seen = enumerate(site.observed_dates)
        named = [(pointer("site", "observed_dates", n, "cultivar"), date.cultivar) for n, date in seen]
        check_all(lambda: resolve_each(self.tables.names, named, once=False), lambda: _not_to_come(site))

    def _remembered(self, site: Site) -> SiteConditions:
        key = hashlib.sha256(msgspec.json.encode(site)).digest()
        with self._lock:
            if key in self._conditions:
                self._conditions.move_to_end(key)
                return self._conditions[key]
        # Outside the lock: two threads may both compute it, and find the same.
        found = with_observed_dates(site_conditions(site_years(site)), site, self.catalogue)
        with self._lock:
            self._conditions[key] = found
            while len(self._conditions) > self._remembered_sites:
                self._conditions.popitem(last=False)
        return found


def _not_to_come(site: Site) -> None:
    """Raise ContentFaults for dates seen in days to come; the one thing in a request that depends on today."""
    tomorrow = (dt.datetime.now(dt.UTC).date() + dt.timedelta(days=1)).isoformat()
    faults = [
        ContentFault(pointer("site", "observed_dates", n, "date"), f"{seen.date} has not come yet: which year was it?")
        for n, seen in enumerate(site.observed_dates)
        if seen.date > tomorrow
    ]
    if faults:
        raise ContentFaults(faults)
