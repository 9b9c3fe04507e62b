"""The cultivars that a review looks at: those of the planting, and those that may be had for a change of it.

What is judged of a cultivar at a site is the same in any company. So the first planting that is reviewed at a site is
judged by its own few; all that may be had are judged where a change asks for them, and where one place is asked about
again. Cultivars that are not advised are then judged with many of their like at once, and what plantings are made of is
put together from there.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from domain.common.kept import Kept
from domain.fruit.leaf_stripping import stripped
from domain.orchard_site.conditions import SiteConditions
from domain.planting_list.planting_lists import plantable, sited_cultivars
from domain.planting_list.pollen_donors import for_pollen_alone
from domain.planting_list.trees_at_site import SitedCultivars, patchwork
from domain.pollination.bloom_overlap import one_after_the_other
from domain.pollination.compatibility import PollenFits, pollen_fits
from domain.pollination.pairs import Chances, PairTable, chances_of, pair_table
from domain.pollination.site_pairs import genes, site_pairs
from domain.suitability.assess import assess
from domain.suitability.site_fit import SiteFit, site_fit
from domain.suitability.suitability_answer import Suitability
from domain.suitability.suitability_request import Weights
from domain.traits.catalogue import Catalogue
from domain.traits.trait_table import TraitTable

REMEMBERED_CATALOGUES = 2
BLOCK = 96
"""Cultivars that are not advised and judged at once."""
JUDGED_APART = 2
"""Plantings at a site with such cultivars that are judged by their own few before blocks pay."""


@dataclass(frozen=True, eq=False)
class Judged:
    """Some cultivars judged at the site, with the traits that they were judged by. Rows are those of `sited`."""

    traits: TraitTable
    sited: SitedCultivars

    @cached_property
    def picked(self) -> tuple[tuple[float, float, float] | None, ...]:
        """First and last day of picking, and last in store, of each; None where that is not known."""
        first, last = self.sited.harvest_first.tolist(), self.sited.harvest_last.tolist()
        weeks = np.nan_to_num(self.sited.storage_weeks[:, 0]).tolist()
        return tuple(
            (begin, end, end + 7 * kept) if math.isfinite(begin) else None
            for begin, end, kept in zip(first, last, weeks, strict=True)
        )

    @cached_property
    def wants_pollen(self) -> tuple[bool, ...]:
        """Of each whether its bloom is known and it bears fruit."""
        return tuple(bool(each) for each in self.sited.windows.known & self.for_fruit)

    @cached_property
    def for_fruit(self) -> NDArray[np.bool_]:
        """(n,) which cultivars are planted for their fruit."""
        return np.array([not for_pollen_alone(one) for one in self.sited.cultivars], dtype=np.bool_)

    @cached_property
    def advised(self) -> NDArray[np.bool_]:
        """(n,) which are advised and bear fruit of use."""
        advised = np.array([one.status == "advised" for one in self.sited.cultivars], dtype=np.bool_)
        return advised & self.for_fruit

    @cached_property
    def stripped_rows(self) -> NDArray[np.bool_]:
        """(n,) which cultivars are known to crop with their leaves stripped by hand."""
        known = (stripped(one.id, one.sport_of) for one in self.sited.cultivars)
        return np.array([one is not None and one.standing == "grown" for one in known], dtype=np.bool_)


@dataclass(frozen=True, eq=False)
class Own:
    """The cultivars of a planting, or all that may be had with them among them: judged, in pairs, in words by id."""

    here: Judged
    table: PairTable
    told: Mapping[str, Suitability]
    conditions: SiteConditions
    """Those of the site, with the memory in which these cultivars are kept."""

    @property
    def fit(self) -> SiteFit:
        """How each fits the site."""
        return site_fit(self.conditions, self.here.traits)


@lru_cache(maxsize=REMEMBERED_CATALOGUES)
def _plantable(catalogue: Catalogue) -> tuple[TraitTable, frozenset[str]]:
    traits = plantable(catalogue, ())
    return traits, frozenset(one.id for one in traits.cultivars)


def own_cultivars(named: frozenset[str], all_asked: bool, catalogue: Catalogue, conditions: SiteConditions) -> Own:
    """The cultivars of a planting. all_asked: whether it asks for all of them, so that they stand among all."""
    traits, ids = _plantable(catalogue)
    first = conditions.kept.get("reviewed_first", None, lambda: named)
    if all_asked or (named <= ids and named != first):
        return _among_all(traits if named <= ids else plantable(catalogue, named), catalogue, conditions)
    asked: list[frozenset[str]] = conditions.kept.get("reviewed_apart", None, list)
    if named != first and named not in asked:
        if len(asked) >= JUDGED_APART:
            return conditions.kept.get("reviewed_few", named, lambda: _patched(named, catalogue, conditions))
        asked.append(named)
    return conditions.kept.get("reviewed_few", named, lambda: _few(named, catalogue, conditions))


def to_choose_from(catalogue: Catalogue, conditions: SiteConditions) -> Judged:
    """All cultivars that may be had, judged at the site and kept with it."""
    traits, _ = _plantable(catalogue)
    return _judged(traits, conditions)


def _judged(traits: TraitTable, conditions: SiteConditions) -> Judged:
    return conditions.kept.get(
        "reviewed", traits, lambda: Judged(traits, sited_cultivars(traits, conditions, Weights()))
    )


def _among_all(traits: TraitTable, catalogue: Catalogue, conditions: SiteConditions) -> Own:
    here = _judged(traits, conditions)
    if conditions.years.without_winter:
        table = pair_table(traits.cultivars, catalogue.tables.by_id, here.sited.windows)
    else:
        table = site_pairs(catalogue, conditions, traits)
    return Own(here, table, told_of(here, conditions), conditions)


def _apart(conditions: SiteConditions) -> SiteConditions:
    """The same conditions with memories of their own, so that few cultivars do not push out all."""
    return replace(conditions, kept_alike=Kept())


def _few(named: frozenset[str], catalogue: Catalogue, conditions: SiteConditions) -> Own:
    rows = np.array(sorted(catalogue.row[each] for each in named), dtype=np.intp)
    traits = catalogue.traits.take(rows)
    apart = _apart(conditions)
    here = Judged(traits, sited_cultivars(traits, apart, Weights()))
    table = pair_table(traits.cultivars, catalogue.tables.by_id, here.sited.windows)
    return Own(here, table, {one.id: one for one in assess(apart, traits)}, apart)


@lru_cache(maxsize=REMEMBERED_CATALOGUES)
def _beside(catalogue: Catalogue) -> tuple[NDArray[np.intp], Mapping[str, int]]:
    """Rows of the catalogue that are not among those that may be had, and the place of each id in them."""
    _, ids = _plantable(catalogue)
    rows = [row for one, row in catalogue.row.items() if one not in ids]
    return np.array(rows, dtype=np.intp), {catalogue.traits.cultivars[row].id: n for n, row in enumerate(rows)}


@dataclass(frozen=True, eq=False)
class _Part:
    """Some cultivars judged at a site, and in words by id."""

    here: Judged
    told: Mapping[str, Suitability]


def _block(number: int, catalogue: Catalogue, conditions: SiteConditions) -> _Part:
    """One block of the cultivars that may not be had, judged at the site and kept with it."""

    def made() -> _Part:
        rows, _ = _beside(catalogue)
        traits = catalogue.traits.take(rows[number * BLOCK : (number + 1) * BLOCK])
        apart = _apart(conditions)
        here = Judged(traits, sited_cultivars(traits, apart, Weights()))
        return _Part(here, {one.id: one for one in assess(apart, traits)})

    return conditions.kept.get(f"reviewed_block_{number}", None, made)


def _patched(named: frozenset[str], catalogue: Catalogue, conditions: SiteConditions) -> Own:
    """The own cultivars of a planting, each from where it was judged among many."""
    many, (_, beside) = to_choose_from(catalogue, conditions), _beside(catalogue)
    advised = _Part(many, told_of(many, conditions))
    rows = np.array(sorted(catalogue.row[each] for each in named), dtype=np.intp)
    traits = catalogue.traits.take(rows)
    parts = [
        advised if one.id in many.sited.row else _block(beside[one.id] // BLOCK, catalogue, conditions)
        for one in traits.cultivars
    ]
    pieces = [(part.here.sited, one.id) for part, one in zip(parts, traits.cultivars, strict=True)]
    here = Judged(traits, patchwork(pieces))
    table = pair_table(traits.cultivars, catalogue.tables.by_id, here.sited.windows)
    told = {one.id: part.told[one.id] for part, one in zip(parts, traits.cultivars, strict=True)}
    return Own(here, table, told, _apart(conditions))


def told_of(here: Judged, conditions: SiteConditions) -> Mapping[str, Suitability]:
    """Every cultivar in words, by id; kept with the site."""
    return conditions.kept.get(
        "reviewed_judged", here.traits, lambda: {one.id: one for one in assess(conditions, here.traits)}
    )


def between(own: Judged, all_: Judged, catalogue: Catalogue) -> tuple[Chances, NDArray[np.bool_]]:
    """Chances between the own cultivars and all that may be had, and which are one genotype (own, all)."""
    cultivars = all_.sited.cultivars
    beside = [row for row, one in enumerate(own.sited.cultivars) if one.id not in all_.sited.row]
    windows, fits = all_.sited.windows, genes(catalogue, all_.traits)
    if beside:
        cultivars = (*cultivars, *(own.sited.cultivars[row] for row in beside))
        windows = one_after_the_other([windows, own.sited.windows.of(beside)])
        fits = pollen_fits(cultivars, catalogue.tables.by_id)
    place = {one.id: n for n, one in enumerate(cultivars)}
    rows = np.array([place[one.id] for one in own.sited.cultivars], dtype=np.intp)
    found, count = chances_of(rows, windows, fits, cultivars), len(all_.sited.cultivars)
    return Chances(found.given[:, :count], found.serving[:, :count]), fits.same_genotype[rows, :count]


def self_chances(all_: Judged, catalogue: Catalogue) -> NDArray[np.float32]:
    """(n,) chance of an adequate crop of each without any other."""
    fits: PollenFits = genes(catalogue, all_.traits)
    return np.ascontiguousarray(np.diagonal(fits.chance))
