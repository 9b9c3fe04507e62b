"""The two hundred cultivars that are asked for most, and how much of each is known from a text.

``python -m tests.published.most_asked`` prints the coverage, trait by trait, and who is neither known from a text nor
looked for in vain; with ``--draw`` it writes `data/most_asked.csv` anew. The rule: a document has one vote for each
cultivar that it recommends, tries with success or says to be grown at a place, in a year from 1950 on or without a
year; the first two hundred by votes, then by the number of documents that say anything of them, then by name.
Documents that stay unseen have no vote.

`data/looked_for_in_vain.csv` names what was looked for, trait by trait, and the documents in which it was not found. A
value of weak voices alone (a shop, a grower, the press) may stand there: what was looked for is a text that decides.
"""

import argparse
import csv
from collections import defaultdict
from collections.abc import Iterator, Mapping, Set
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


KNOWN = frozenset({"own", "inherited"})
"""The ways of `known` that rest on a text which may decide alone."""
ASKED_SHARE = 0.9
"""The share of the most asked of which each trait is to be known, or looked for in vain."""


def looked_for_in_vain() -> set[tuple[str, str]]:
    """(cultivar id, trait) of what was looked for and not found."""
    return {(row["cultivar_id"], row["trait"]) for row in read_table(DATA / "looked_for_in_vain.csv")}


def coverage(cultivars: Mapping[str, Cultivar], vain: Set[tuple[str, str]]) -> Iterator[str]:
    """Lines of text: of each trait how many know it, of how many it was sought in vain, and who is neither."""
    heads = ("own", "parent", "weak", "none", "known", "in vain", "neither")
    yield f"{'':16}" + "".join(f"{head:>9}" for head in heads) + f"   of {len(cultivars)}"
    neither: dict[str, list[str]] = {}
    for trait in TRAITS:
        told = {key: known(cultivar, trait) for key, cultivar in cultivars.items()}
        open_still = [key for key, how in told.items() if how not in KNOWN]
        neither[trait] = [key for key in open_still if (key, trait) not in vain]
        counts = [sum(how == kind for how in told.values()) for kind in ("own", "inherited", "weak", "")]
        counts += [len(told) - len(open_still), len(open_still) - len(neither[trait]), len(neither[trait])]
        holds = len(neither[trait]) <= round((1.0 - ASKED_SHARE) * len(told))
        yield f"{trait:16}" + "".join(f"{count:9}" for count in counts) + ("   holds" if holds else "   does not hold")
    for trait, keys in neither.items():
        yield f"neither known nor looked for, {trait}: " + "; ".join(cultivars[key].name for key in keys)


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
    asked = {row["cultivar_id"]: tables.by_id[row["cultivar_id"]] for row in committed()}
    vain = looked_for_in_vain()
    print("\n".join(coverage(asked, vain)))
    print(f"looked for in vain: {len(vain)} values")


if __name__ == "__main__":
    main()
