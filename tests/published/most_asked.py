"""The two hundred cultivars that are asked for most, and how much of each is known from a text.

``python -m tests.published.most_asked`` prints the coverage, trait by trait, and who lacks what; with ``--draw`` it
writes `data/most_asked.csv` anew. The rule: a document has one vote for each cultivar that it recommends, tries with
success or says to be grown at a place, in a year from 1950 on or without a year; the first two hundred by votes, then
by the number of documents that say anything of them, then by name. Documents that stay unseen have no vote.

`data/looked_for_in_vain.csv` names what was looked for, trait by trait, and the documents in which it was not found.
"""

import argparse
import csv
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

import reference_tables
from domain.adoption.voices import alone
from domain.tables.cultivars import Cultivar, Estimate, Finding
from domain.tables.loading import Tables, load
from reference_tables.building.published import Row, read_table

DATA = Path(__file__).parent / "data"
MOST = 200
FIRST_YEAR = 1950
COLUMNS = ("cultivar_id", "name", "documents", "documents_that_speak_of_it")

WITNESSES_AGAINST = frozenset({"rejected", "trial_poor", "failed", "being_removed"})

TRAITS = {
    "bloom": "bloom_offset_days",
    "ripening": "ripening_offset_days",
    "storage life": "storage_weeks_high",
    "uses": "uses",
    "fruiting habit": "fruiting_habit",
    "vigour": "vigour",
    "hardiness": "hardiness_c",
    "scab": "susceptibility_scab",
    "fire blight": "susceptibility_fire_blight",
    "ploidy": "ploidy",
    "S-genotype": "s_genotype",
}
"""What must be known of a cultivar that is asked for -> the adopted trait."""


def votes(tables: Tables) -> dict[str, set[str]]:
    """Cultivar id -> ids of the documents that recommend it or find it grown somewhere."""
    found: defaultdict[str, set[str]] = defaultdict(set)
    for row in read_table(Path(reference_tables.__file__).parent / "observations" / "witnesses.csv"):
        year = (row["year"] or str(tables.sources[row["source_id"]].year or ""))[:4]
        if row["kind"] not in WITNESSES_AGAINST and not (year.isdigit() and int(year) < FIRST_YEAR):
            found[row["cultivar_id"]].add(row["source_id"])
    for one in tables.by_topic["recommendations"]:
        if one.published == "recommended":
            found[one.cultivar_id].add(one.source_id)
    return found


def draw(tables: Tables) -> list[Row]:
    """The rows of `data/most_asked.csv` that the rule gives."""
    spoken: defaultdict[str, set[str]] = defaultdict(set)
    for observations in tables.by_topic.values():
        for one in observations:
            spoken[one.cultivar_id].add(one.source_id)
    ranked = sorted(votes(tables).items(), key=lambda item: (-len(item[1]), -len(spoken[item[0]]), item[0]))
    return [
        {
            "cultivar_id": cultivar_id,
            "name": tables.by_id[cultivar_id].name,
            "documents": str(len(documents)),
            "documents_that_speak_of_it": str(len(spoken[cultivar_id])),
        }
        for cultivar_id, documents in ranked[:MOST]
    ]


def known(cultivar: Cultivar, trait: str) -> str:
    """How a trait of `TRAITS` is known: own, inherited, weak (a shop or the press alone) or blank for no text."""
    adopted = TRAITS[trait]
    found: Estimate | Finding | None = cultivar.numbers.get(adopted) or cultivar.findings.get(adopted)
    if found is None or found.basis != "published":
        return ""
    if alone(found.sources):
        return "weak"
    return "inherited" if found.inherited_from else "own"


def coverage(cultivars: Iterable[Cultivar]) -> Iterator[str]:
    """Lines of text: for each trait how many know it, and who does not."""
    asked = list(cultivars)
    yield f"{'':16}{'own':>6}{'parent':>8}{'weak':>6}{'none':>6}   of {len(asked)}"
    for trait in TRAITS:
        told = {cultivar.name: known(cultivar, trait) for cultivar in asked}
        counts = [sum(how == kind for how in told.values()) for kind in ("own", "inherited", "weak", "")]
        yield f"{trait:16}{counts[0]:6}{counts[1]:8}{counts[2]:6}{counts[3]:6}"
    for trait in TRAITS:
        yield f"no text on {trait}: " + "; ".join(c.name for c in asked if not known(c, trait))


def committed() -> list[Row]:
    """The table as it stands."""
    return read_table(DATA / "most_asked.csv")


def main() -> None:
    """Print the coverage, or draw the table anew."""
    parser = argparse.ArgumentParser(prog="python -m tests.published.most_asked", description=__doc__)
    parser.add_argument("--draw", action="store_true", help="write data/most_asked.csv by the rule")
    tables = load()
    if parser.parse_args().draw:
        with (DATA / "most_asked.csv").open("w", encoding="utf-8", newline="") as lines:
            writer = csv.DictWriter(lines, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(draw(tables))
    rows = committed()
    print("\n".join(coverage(tables.by_id[row["cultivar_id"]] for row in rows)))
    vain = read_table(DATA / "looked_for_in_vain.csv")
    print(f"looked for in vain: {len(vain)} values")


if __name__ == "__main__":
    main()
