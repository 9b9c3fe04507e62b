"""What the handlers share: the tables, read once at start, and the conditions of the sites asked about last."""

import hashlib
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import TypeVar

import msgspec

from api.settings import MIB, Settings
from api.site_memory import SiteMemory
from api.watching import seen_place
from domain import __version__
from domain.common.asked_names import resolve_each
from domain.common.faults import ContentFault, ContentFaults, check_all, collecting, pointer
from domain.orchard_site.conditions import SiteConditions, on_ground, site_conditions
from domain.orchard_site.observed_dates import with_observed_dates
from domain.site_climate.site import MOST_WARMING_C, Site
from domain.site_climate.site_years import (
    FoundClimate,
    check_years,
    found_climate,
    refuse_impossible,
    what_makes_the_climate,
    what_makes_the_years,
    years_of,
)
from domain.tables.loading import Tables
from domain.tables.observations import Source
from domain.tables.rootstocks import rootstock_names
from domain.tables.tree_forms import tree_form_names
from domain.traits.catalogue import Catalogue

Answer = TypeVar("Answer", bound=msgspec.Struct)


class Versions(msgspec.Struct, frozen=True, kw_only=True):
    """What an answer was computed with: equal requests to equal versions get equal answers."""

    program: str
    tables: str


class Advisor:
    """The tables and what is remembered of earlier requests. Safe to use from several threads."""

    def __init__(self, tables: Tables, settings: Settings) -> None:
        self.tables = tables
        self.catalogue = Catalogue(tables)
        self.versions = Versions(program=__version__, tables=tables.version)
        most_bytes = settings.remembered_mib * MIB
        self._climates: SiteMemory[FoundClimate] = SiteMemory("climates", settings.remembered_sites, most_bytes)
        self._sites: SiteMemory[SiteConditions] = SiteMemory("sites", settings.remembered_sites, most_bytes)
        rootstock_names(), tree_form_names()  # read at start too, so that a bad row is told then

    def conditions(
        self, site: Site, also: Callable[[], object] = lambda: None, warmer_by_c: float | None = None
    ) -> SiteConditions:
        """What a site holds for every cultivar; a site asked about again costs a lookup.

        also: the check of the rest of the request. Raises ContentFaults with its faults, those of the site, and that of
        a warming past the most; years are worked out for a request without faults alone.
        """
        faults: list[ContentFault] = []
        for check in (also, lambda: self._check_observed(site), lambda: _check_warming(site, warmer_by_c)):
            with collecting(faults):
                check()
        if faults:
            with collecting(faults):
                check_years(site)
            raise ContentFaults(faults)
        refuse_impossible(site)
        return self._remembered(site)

    def check_each(self, sites: Sequence[Site], *where: str) -> None:
        """Raise ContentFaults with the faults of several sites. where: leads from a list to the site of an item."""
        faults: list[ContentFault] = []
        before, *after = where
        for n, site in enumerate(sites):
            of_site: list[ContentFault] = []
            with collecting(of_site):
                check_years(site)
            with collecting(of_site):
                self._check_observed(site)
            at = "/".join(("#", before, str(n), *after[:-1]))
            faults += [
                ContentFault(fault.pointer.replace("#", at, 1), fault.detail, fault.nearest) for fault in of_site
            ]
        if faults:
            raise ContentFaults(faults)
        for site in sites:
            refuse_impossible(site)

    def conditions_apart(self, site: Site, *, remember: bool) -> SiteConditions:
        """The conditions of one of many sites, which has been checked; those that are not remembered hold no memory."""
        years = what_makes_the_years(site)
        if remember or _key(years) in self._sites:
            return self._remembered(site)
        seen_place(site.latitude, site.longitude)
        if site.observed_dates:
            undated = self.conditions_apart(msgspec.structs.replace(years, observed_dates=()), remember=False)
            passing = partial(self.conditions_apart, remember=False)
            return on_ground(with_observed_dates(undated, years, self.catalogue, passing), site.ground)
        climate = found_climate(what_makes_the_climate(years))
        return on_ground(site_conditions(years_of(climate, years)), site.ground)

    def new_site(self, asked: object) -> bytes | None:
        """By what the site of a request is known, where its conditions have to be worked out first; else None."""
        site = getattr(asked, "site", None)
        if not isinstance(site, Site):
            return None
        by_c = getattr(asked, "warmer_by_c", None)
        years = what_makes_the_years(site)
        keys = [_key(years)]
        if by_c is not None:
            keys.append(_key(msgspec.structs.replace(years, warming_c=years.warming_c + by_c)))
        return None if all(key in self._sites for key in keys) else b"".join(keys)

    def if_warmer(self, site: Site, by_c: float | None) -> SiteConditions | None:
        """What a site whose conditions are known would hold if it were so much warmer; None where that is not asked."""
        if by_c is None:
            return None
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
        seen_place(site.latitude, site.longitude)
        ground, site = site.ground, what_makes_the_years(site)
        key = _key(site)
        return on_ground(self._sites.get(key, lambda: self._conditions(site, key)), ground)

    def _conditions(self, site: Site, key: bytes) -> SiteConditions:
        """Ground, warming and dates seen are laid on a climate that is remembered by what makes it. key: the site's."""
        if site.observed_dates:
            undated = self._remembered(msgspec.structs.replace(site, observed_dates=()))
            return with_observed_dates(undated, site, self.catalogue, self._remembered)
        bare = what_makes_the_climate(site)
        climate = self._climates.get(key if bare == site else _key(bare), lambda: found_climate(bare))
        return site_conditions(years_of(climate, site))


def _key(site: Site) -> bytes:
    return hashlib.sha256(msgspec.msgpack.encode(site)).digest()


def _check_warming(site: Site, by_c: float | None) -> None:
    """Raise ContentFaults where a site would be warmed by more than the most."""
    if by_c is not None and site.warming_c + by_c > MOST_WARMING_C:
        detail = f"Together with the site's warming_c this is {site.warming_c + by_c:g} C; expected at most 5."
        raise ContentFaults([ContentFault(pointer("warmer_by_c"), detail)])


def _not_to_come(site: Site) -> None:
    """Raise ContentFaults for dates seen after the day on which the request says it is made."""
    faults = [
        ContentFault(
            pointer("site", "observed_dates", n, "date"),
            f"{seen.date} is after as_of, {site.as_of}: which year was it?",
        )
        for n, seen in enumerate(site.observed_dates)
        if site.as_of is not None and seen.date > site.as_of
    ]
    if faults:
        raise ContentFaults(faults)
