"""The table of the cultivars asked for most is what its rule gives, and what is said of it holds."""

import pytest

from domain.tables.loading import load
from reference_tables.building.published import read_table
from tests.published import most_asked

LEAST_KNOWN = {
    "bloom": 150,
    "ripening": 182,
    "storage life": 138,
    "uses": 127,
    "fruiting habit": 47,
    "vigour": 136,
    "hardiness": 124,
    "scab": 108,
    "fire blight": 158,
    "ploidy": 137,
    "S-genotype": 31,
}
"""How many of the two hundred are known from a text that is no weak voice: what stands, so that none is lost.

The two hundred were drawn anew once lists of warm places were read, which ask for other names.
"""


@pytest.fixture(scope="module")
def asked() -> list[dict[str, str]]:
    return most_asked.committed()


def test_the_table_is_what_the_rule_gives(asked: list[dict[str, str]]) -> None:
    """By votes alone: which documents speak of a cultivar at all changes with every folder that is read."""
    votes = {key: len(documents) for key, documents in most_asked.votes(load()).items()}
    assert len(asked) == most_asked.MOST
    assert all(votes[row["cultivar_id"]] >= int(row["documents"]) for row in asked)
    kept = {row["cultivar_id"] for row in asked}
    least = min(int(row["documents"]) for row in asked)
    assert not {key for key, count in votes.items() if count > 2 * least} - kept


@pytest.mark.parametrize("trait", most_asked.TRAITS)
def test_what_is_known_of_them_is_not_lost(trait: str, asked: list[dict[str, str]]) -> None:
    known = [most_asked.known(load().by_id[row["cultivar_id"]], trait) for row in asked]
    count = sum(how in {"own", "inherited"} for how in known)
    print(f"{trait}: {count} of {len(known)}")
    assert count >= LEAST_KNOWN[trait]


def test_what_was_looked_for_in_vain_is_not_known() -> None:
    rows = read_table(most_asked.DATA / "looked_for_in_vain.csv")
    assert rows
    found = [row for row in rows if most_asked.known(load().by_id[row["cultivar_id"]], row["trait"])]
    assert found == []
    assert all(row["documents_read"] for row in rows)
