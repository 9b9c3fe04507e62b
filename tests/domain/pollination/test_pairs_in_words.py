"""Pairs put into words all at once read as each of them by itself."""

import random
from typing import Any

import pytest

from domain.orchard_site.observed_dates import conditions_of
from domain.pollination.bloom_overlap import reference_windows
from domain.pollination.pairs import PairTable, pair_table
from domain.pollination.pairs_in_words import explain
from domain.pollination.site_windows import site_windows
from domain.tables.cultivars import Cultivar
from tests.shared import catalogue, site, tables

GENOTYPED = ("Golden Delicious", "Jonathan", "Jonagold", "Cox's Orange Pippin", "Bramley's Seedling", "James Grieve")
"""Beside those drawn: genotypes that are known, triploids, parents and their children."""


def some_cultivars() -> list[Cultivar]:
    """A few of known genotype, and others as they come: advised or not, of bloom that is known, guessed or untold."""
    named = [tables().by_id[cultivar_id] for name in GENOTYPED if (cultivar_id := tables().names.resolve(name))]
    others = [one for one in tables().cultivars if one not in named]
    return named + random.Random(3).sample(others, 16)


def table(place: dict[str, Any] | None) -> PairTable:
    cultivars = some_cultivars()
    if place is None:
        return pair_table(cultivars, tables().by_id, reference_windows(cultivars))
    windows = site_windows(catalogue(), conditions_of(site(**place)), cultivars)
    return pair_table(cultivars, tables().by_id, windows)


@pytest.mark.parametrize("place", [None, {"latitude": 46.0, "longitude": 11.2, "elevation_m": 400}])
def test_all_pairs_at_once_read_as_one_by_one(place: dict[str, Any] | None) -> None:
    pairs = table(place)
    rows = range(len(pairs.cultivars))
    every = [(i, j) for i in rows for j in rows]
    together = explain(pairs, every)
    assert len({reason.code for pair in together for reason in pair.reasons}) >= 12, "pairs of many kinds"
    for pair, told in zip(every, together, strict=True):
        assert told == explain(pairs, [pair])[0]


def test_no_pairs_are_no_words() -> None:
    assert explain(table(None), []) == []
