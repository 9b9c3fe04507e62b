"""Every pair of a table of cultivars at one site, worked out once: lists, trunks and reviews take what they ask for."""

import functools

from domain.orchard_site.conditions import SiteConditions
from domain.pollination.bloom_overlap import BloomWindows
from domain.pollination.compatibility import PollenFits, pollen_fits
from domain.pollination.pairs import PairTable, pair_table
from domain.pollination.site_windows import windows_of
from domain.traits.catalogue import Catalogue
from domain.traits.trait_table import TraitTable

REMEMBERED = 4
"""Tables of cultivars whose genes are kept compared."""


def site_pairs(catalogue: Catalogue, conditions: SiteConditions, traits: TraitTable) -> PairTable:
    """The pairs of the cultivars of a table in their bloom at the site; kept with the site."""
    return conditions.kept.get("pairs", traits, lambda: pairs_in(catalogue, traits, windows_of(conditions, traits)))


def pairs_in(catalogue: Catalogue, traits: TraitTable, windows: BloomWindows) -> PairTable:
    """The pairs of the cultivars of a table in any windows of theirs, as those of two climates of one site."""
    return pair_table(traits.cultivars, catalogue.tables.by_id, windows, genes(catalogue, traits))


@functools.lru_cache(maxsize=REMEMBERED)
def genes(catalogue: Catalogue, traits: TraitTable) -> PollenFits:
    """What genes say of every pair of a table; kept, since it is the same at every site."""
    return pollen_fits(traits.cultivars, catalogue.tables.by_id)
