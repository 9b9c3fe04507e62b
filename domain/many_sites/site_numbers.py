"""From a site to its numbers, now and in warmer climates, the climate worked out once for all of them.

The numbers are those of the answers to `suitabilities`, `site-climates` and `stock-orders`: the same code makes them,
and only sentences, factors and traits are left out.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.common.asked_names import resolve_each
from domain.common.faults import ContentFault, ContentFaults, check_all, pointer
from domain.orchard_site.conditions import SiteConditions, on_ground, site_conditions
from domain.orchard_site.observed_dates import with_observed_dates
from domain.site_climate.climate_answer import SiteClimate, site_climate
from domain.site_climate.site import MOST_WARMING_C, Site
from domain.site_climate.site_years import (
    found_climate,
    refuse_impossible,
    what_makes_the_climate,
    what_makes_the_years,
    years_of,
)
from domain.stock_orders.orders import stock_at_site
from domain.suitability.columns import JudgedColumns, judged_columns
from domain.suitability.suitability_request import Weights
from domain.traits.catalogue import Catalogue
from domain.traits.trait_table import TraitTable


@dataclass(frozen=True)
class Asked:
    """What is asked of every site: which cultivars, in which climates (C warmer than told), judged how."""

    traits: TraitTable
    warmer_by_c: tuple[float, ...] = (0.0,)
    weights: Weights = field(default_factory=Weights)
    no_spray: bool = False


@dataclass(frozen=True, eq=False)
class SiteNumbers:
    """A site in one climate: its figures, every cultivar asked for, and what each is worth in a stock (n,)."""

    warmer_by_c: float
    climate: SiteClimate
    judged: JudgedColumns
    worth: Floats


def site_numbers(site: Site, catalogue: Catalogue, asked: Asked) -> Iterator[SiteNumbers]:
    """The numbers of a site in each climate asked for. Raises ContentFaults for what a request would be refused for."""
    for by_c, here, conditions in _climates(site, catalogue, asked.warmer_by_c):
        worth = stock_at_site(conditions, asked.traits, asked.weights).worth
        yield SiteNumbers(
            warmer_by_c=by_c,
            climate=site_climate(here, conditions.years),
            judged=judged_columns(conditions, asked.traits, asked.weights, no_spray=asked.no_spray),
            worth=worth.astype(np.float32),
        )


def _climates(
    site: Site, catalogue: Catalogue, warmer_by_c: Sequence[float]
) -> Iterator[tuple[float, Site, SiteConditions]]:
    """The site that much warmer, and its conditions; the climate is worked out once for all of them."""
    check_all(
        lambda: refuse_impossible(site),
        lambda: _check_dates(site, catalogue),
        lambda: _check_warming(site, max(warmer_by_c)),
    )
    climate = found_climate(what_makes_the_climate(site))

    def undated(here: Site) -> SiteConditions:
        return site_conditions(years_of(climate, msgspec.structs.replace(here, observed_dates=())))

    for by_c in warmer_by_c:
        here = msgspec.structs.replace(site, warming_c=site.warming_c + by_c)
        bare = what_makes_the_years(here)
        conditions = undated(bare)
        if site.observed_dates:
            conditions = with_observed_dates(conditions, bare, catalogue, undated)
        yield by_c, here, on_ground(conditions, site.ground)


def _check_dates(site: Site, catalogue: Catalogue) -> None:
    """Raise ContentFaults for dates seen of unknown cultivars or after the day of asking."""
    named = [
        (pointer("site", "observed_dates", n, "cultivar"), date.cultivar) for n, date in enumerate(site.observed_dates)
    ]
    resolve_each(catalogue.tables.names, named, once=False)
    late = [
        ContentFault(pointer("site", "observed_dates", n, "date"), f"{seen.date} is after as_of, {site.as_of}.")
        for n, seen in enumerate(site.observed_dates)
        if site.as_of is not None and seen.date > site.as_of
    ]
    if late:
        raise ContentFaults(late)


def _check_warming(site: Site, by_c: float) -> None:
    """Raise ContentFaults where a site would be warmed by more than the most."""
    if site.warming_c + by_c > MOST_WARMING_C:
        detail = f"Warmed by {by_c:g} C more this is {site.warming_c + by_c:g} C; expected at most {MOST_WARMING_C:g}."
        raise ContentFaults([ContentFault(pointer("site", "warming_c"), detail)])
