"""What many tests read and none changes: the tables, the catalogue, and the years and conditions of sites, made once.

They are kept by function and not by module, so that a worker works a site out once whatever tests it runs. Tests may
take them as fixtures (tests/conftest.py) or call them where a fixture cannot reach.
"""

from functools import cache, lru_cache
from typing import Any

import msgspec

from domain.orchard_site.conditions import SiteConditions, site_conditions
from domain.site_climate.site import Site
from domain.site_climate.site_years import SiteYears, site_years
from domain.tables.loading import Tables, load
from domain.traits.catalogue import Catalogue
from domain.tree_year.clock import SiteClock, site_clock

REMEMBERED_SITES = 96
"""About 3 MB of years and 7 MB of conditions each."""


def tables() -> Tables:
    """The committed tables."""
    return load()


@cache
def catalogue() -> Catalogue:
    """The tables with their traits as arrays."""
    return Catalogue(load())


def site(**members: Any) -> Site:
    """A site from the members of a request."""
    return msgspec.convert(members, Site)


@lru_cache(maxsize=REMEMBERED_SITES)
def _years(asked: Site) -> SiteYears:
    return site_years(asked)


@lru_cache(maxsize=REMEMBERED_SITES)
def _clock(asked: Site) -> SiteClock:
    found = _years(asked)
    return site_clock(found.seasons, found.bloom_shift_days)


@lru_cache(maxsize=REMEMBERED_SITES)
def _conditions(asked: Site) -> SiteConditions:
    return site_conditions(_years(asked))


def years(asked: Site) -> SiteYears:
    """The years at a site; read only."""
    return _years(asked)


def clock(asked: Site) -> SiteClock:
    """The clock of every cultivar at a site; read only."""
    return _clock(asked)


def conditions(asked: Site) -> SiteConditions:
    """What a site holds for every cultivar; read only."""
    return _conditions(asked)


STANDARD_SITES: dict[str, Site] = {
    "damp and mild": site(latitude=51.2, longitude=0.6, elevation_m=60),
    "dry and warm": site(latitude=46.6, longitude=-120.5, elevation_m=325),
    "cold": site(latitude=44.9, longitude=-93.2, elevation_m=260),
    "hot and humid": site(latitude=33.8, longitude=-84.4),
    "mild cape": site(latitude=-33.9, longitude=18.9, elevation_m=120),
    "hardly any winter": site(latitude=29.65, longitude=-82.35, elevation_m=50),
    "cool and rainy": site(latitude=53.74, longitude=-2.01, elevation_m=150),
}
"""Sites of contrasting climates, by place alone, that tests of any part may ask."""
