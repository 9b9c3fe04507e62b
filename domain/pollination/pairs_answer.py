"""The computation `pollination-pairs`: every pair of some cultivars, at a site or at the reference places."""

from collections.abc import Mapping
from typing import Annotated, Protocol

import msgspec
import numpy as np

from domain.common.asked_names import Names, resolve_names
from domain.pollination.bloom_overlap import BloomWindows, reference_windows
from domain.pollination.pair_reasons import Reason, reason
from domain.pollination.pairs import pair_table
from domain.pollination.pairs_in_words import PollinationPair, explain
from domain.site_climate.site import Site
from domain.tables.cultivars import Cultivar

MOST_CULTIVARS = 60
"""Cultivars in one request: 3,600 pairs."""


class PollinationPairsRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Cultivars whose pairs are asked for, and the site where they stand, if it matters."""

    cultivars: Annotated[
        list[Annotated[str, msgspec.Meta(min_length=1, max_length=100)]],
        msgspec.Meta(
            min_length=1,
            max_length=MOST_CULTIVARS,
            description="Names of cultivars, each once; every pair is judged in both directions, and each with itself.",
            examples=[["Golden Delicious", "Jonathan", "Jonagold"]],
        ),
    ]
    site: Annotated[
        Site | None,
        msgspec.Meta(description="Without it bloom is compared at the reference places (temperate Europe)."),
    ] = None


class PollinationPairs(msgspec.Struct, frozen=True, kw_only=True):
    """Every pair, in the order asked: pollinated first, then pollen source."""

    pairs: tuple[PollinationPair, ...]
    notes: tuple[Reason, ...]


class Catalogue(Protocol):
    """What is needed of the tables."""

    @property
    def by_id(self) -> Mapping[str, Cultivar]:
        """Every cultivar by id."""

    @property
    def names(self) -> Names:
        """The index of names."""


def requested_cultivars(request: PollinationPairsRequest, tables: Catalogue) -> tuple[Cultivar, ...]:
    """The cultivars of a request, in its order. Raises ContentFaults for names unknown or given twice."""
    return tuple(tables.by_id[name] for name in resolve_names(tables.names, request.cultivars, "cultivars"))


def pollination_pairs(
    request: PollinationPairsRequest, tables: Catalogue, windows: BloomWindows | None = None
) -> PollinationPairs:
    """Judge every pair of the cultivars of a request.

    windows: their bloom at the site, in the order of `requested_cultivars`; at the reference places if None.
    Raises ContentFaults for names that are unknown or given twice.
    """
    cultivars = requested_cultivars(request, tables)
    table = pair_table(cultivars, tables.by_id, reference_windows(cultivars) if windows is None else windows)
    every = np.stack(np.divmod(np.arange(len(cultivars) ** 2), len(cultivars)), axis=1)
    return PollinationPairs(pairs=tuple(explain(table, every)), notes=_notes(windows))


def _notes(windows: BloomWindows | None) -> tuple[Reason, ...]:
    return (reason("pair_is_not_crop"), *((reason("reference_bloom"),) if windows is None else ()))
