"""The documents that nobody read while the program was built judge it: ``python -m tests.published.unseen``.

Drawn by a fixed rule before any was read (`published/unseen.csv`), entered by script, in no table of the program. What
they say is set beside what the program answers as it stands, and kept in unseen_results.csv by date and commit:

- lists and places (recommended, rejected, grown): as the open lists are (`open_lists`), document by document;
- dates: bloom and first picking from the pin, as in `seasons`;
- facts of a number: how many lie within the stated 80 per cent range, as in `domain.adoption.left_out`; there the other
  unseen documents speak along.

Slips are told of: the unseen cases of diagnosis were once printed to the one who wrote the odds, so they are not here;
excerpts of ten other unseen documents were seen in searches (Northland, Finland, Korea, Canberra, Uruguay, Fresno,
Perth and the coast of Israel among them), and nothing of them was entered. The drawn documents of `picking_services`
and `witnesses_found_4` were entered by the one who read them; no figure was chosen by them.
"""

import csv
import math
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import msgspec
import numpy as np

from domain.adoption.left_out import EIGHTY_PERCENT, each_left_out
from domain.adoption.steps import evidence_of
from domain.adoption.weighing import FROM_MEMORY
from domain.common.faults import ContentFaults
from domain.orchard_site.conditions import site_conditions
from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from domain.suitability.assess import assess
from domain.suitability.suitability_answer import Suitability
from domain.tables.loading import TABLES, Tables, load, rows
from domain.tables.observations import Observation, Source
from domain.traits.catalogue import Catalogue
from reference_tables.building import documents
from reference_tables.building.build import build
from reference_tables.building.published import Row, read_folders, read_table
from tests.published.measures_of_order import Question, mean_by_document, mean_of_shares, shares_in_order
from tests.published.recommended_lists import climate_group
from tests.published.seasons import BEYOND_DAYS, DatedRow, climate_of, dated_rows, foretold, keep, state_of_tree

RESULTS = Path(__file__).with_name("unseen_results.csv")
GOOD = frozenset({"recommended", "garden_recommended", "trial_good"})
BAD = frozenset({"rejected", "failed", "trial_poor"})
GROWN = frozenset({"orchard_grows", "traditional", "commercial_main", "commercial_minor"})
LEAST_NAMES = 3


class Figure(msgspec.Struct, frozen=True):
    """One figure: its measure and group, its value with the interval by document, and how many it is of."""

    measure: str
    group: str
    value: float
    n: int
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Unseen:
    """What the unseen documents say: observations by topic and witnesses, of the cultivars of the tables."""

    sources: dict[str, Source]
    by_topic: Mapping[str, tuple[Observation, ...]]
    witnesses: tuple[Row, ...]


def unseen_of(tables: Tables, drawn_rows: Iterable[Row]) -> Unseen:
    """The rows of the documents drawn (folder and source of each), read as the program reads all others."""
    folders = read_folders(TABLES / "published")
    sources, ids = documents.join([folder for folder in folders if folder.read != "later"])
    drawn = {ids.get((row["folder"], row["source_id"])) for row in drawn_rows} - {None}
    built = build(TABLES, unseen=True)
    by_topic: dict[str, tuple[Observation, ...]] = {}
    with tempfile.TemporaryDirectory() as directory:
        for topic in tables.by_topic:
            told = [row for row in built[f"observations/{topic}"] if row["source_id"] in drawn]
            told = [row for row in told if row["cultivar_id"] in tables.by_id]
            by_topic[topic] = tuple(_read(Path(directory) / f"{topic}.csv", told))
    witnesses = [row for row in built["observations/witnesses"] if row["source_id"] in drawn]
    told_by = {
        row["source_id"]: Source(id=row["source_id"], kind=row["kind"], title=row["title"])
        for row in sources
        if row["source_id"] in drawn
    }
    return Unseen(told_by, by_topic, tuple(row for row in witnesses if row["cultivar_id"] in tables.by_id))


def _read(path: Path, told: list[Row]) -> list[Observation]:
    if not told:
        return []
    with path.open("w", encoding="utf-8", newline="") as lines:
        writer = csv.DictWriter(lines, list(told[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(told)
    return rows(path, Observation)


@dataclass(frozen=True)
class Speaker:
    """One list, or one document at one place: which cultivars it names as what."""

    document: str
    climate: str
    site: Site
    named: Mapping[str, frozenset[str]]


def speakers(unseen: Unseen) -> dict[str, Speaker]:
    """Every list and every document of a place, by its name."""
    by_name: defaultdict[str, list[Row]] = defaultdict(list)
    for row in unseen.witnesses:
        by_name[row["list_id"] or f"{row['source_id']} at {row['place']}"].append(row)
    found = {}
    for name, told in sorted(by_name.items()):
        row = told[0]
        site = Site(
            latitude=float(row["latitude"]),
            longitude=float(row["longitude"]),
            elevation_m=float(row["elevation_m"]) if row["elevation_m"] else None,
        )
        try:
            climate = climate_group(float(row["latitude"]), float(row["longitude"]), site.elevation_m)
        except ContentFaults:  # a region whose middle lies at sea
            continue
        kinds = {"good": GOOD, "bad": BAD, "grown": GROWN}
        named = {kind: frozenset(one["cultivar_id"] for one in told if one["kind"] in of) for kind, of in kinds.items()}
        # What one document praises and another word of it rejects says nothing.
        both = named["good"] & named["bad"]
        found[name] = Speaker(row["source_id"], climate, site, {kind: names - both for kind, names in named.items()})
    return found


def order_and_verdicts(tables: Tables, spoken: Mapping[str, Speaker]) -> Iterator[Figure]:
    """Above rejected, above what the others name, and verdicts; by climate."""
    traits = Catalogue(tables).advised
    answers: dict[str, dict[str, Suitability]] = {}
    for one in spoken.values():
        key = repr(one.site)
        if key not in answers:
            judged = assess(site_conditions(site_years(one.site)), traits)
            answers[key] = {found.id: found for found in judged}
    of = {name: answers[repr(one.site)] for name, one in spoken.items()}

    def rank(name: str, cultivar_id: str) -> float | None:
        found = of[name].get(cultivar_id)
        return None if found is None else found.rank_value

    fame = defaultdict(set)
    for one in spoken.values():
        for cultivar_id in one.named["good"] | one.named["grown"]:
            fame[cultivar_id].add(one.document)
    questions: dict[str, list[Question]] = {"above rejected": [], "above others": [], "grown above others": []}
    every = frozenset(fame)
    for name, one in spoken.items():
        document = frozenset({one.document})
        good, grown, bad = one.named["good"], one.named["grown"], one.named["bad"]
        others = tuple(sorted(every - good - grown - bad))
        questions["above rejected"].append(Question(name, document, tuple(sorted(good)), tuple(sorted(bad))))
        questions["above others"].append(Question(name, document, tuple(sorted(good)), others))
        questions["grown above others"].append(Question(name, document, tuple(sorted(grown)), others))
    for measure, asked in questions.items():
        for matched in (False, True):
            by_fame = (lambda _, cultivar_id: float(len(fame[cultivar_id]))) if matched else None
            found = shares_in_order(asked, rank, by_fame)
            for group in ("all", *sorted({one.climate for one in spoken.values()})):
                kept = {n: f for n, f in found.items() if group in ("all", spoken[n].climate)}
                mean = mean_of_shares(kept, most_votes=3.0)
                if mean is not None:
                    told = f"{measure}, matched for fame" if matched else measure
                    yield Figure(told, group, round(mean.value, 3), mean.n, mean.low, mean.high)
    yield from _verdicts(spoken, of)


def _verdicts(spoken: Mapping[str, Speaker], of: Mapping[str, Mapping[str, Suitability]]) -> Iterator[Figure]:
    by_document = {name: frozenset({one.document}) for name, one in spoken.items()}
    for kind in ("good", "grown", "bad"):
        for verdict in ("plant", "worth_trying", "not_here", "not_known"):
            shares = {
                name: float(np.mean([_verdict(of[name].get(c)) == verdict for c in sorted(one.named[kind])]))
                for name, one in spoken.items()
                if len(one.named[kind]) >= (LEAST_NAMES if kind != "bad" else 1)
            }
            for group in ("all", *sorted({one.climate for one in spoken.values()})):
                kept = {n: share for n, share in shares.items() if group in ("all", spoken[n].climate)}
                mean = mean_by_document(kept, by_document, 3.0)
                if mean is not None:
                    yield Figure(f"{kind} called {verdict}", group, round(mean.value, 3), mean.n, mean.low, mean.high)


def _verdict(found: Suitability | None) -> str:
    return "not_known" if found is None else found.verdict


def dates(tables: Tables, unseen: Unseen) -> Iterator[Figure]:
    """Bloom and first picking at their places, from the pin alone: by event, kind of source and climate."""
    told = dated_rows(replace(tables, sources=unseen.sources, by_topic=unseen.by_topic))
    at_place: defaultdict[tuple[float, float], list[DatedRow]] = defaultdict(list)
    for row in told:
        at_place[row.latitude, row.longitude].append(row)
    late: defaultdict[tuple[str, str, str], list[list[float]]] = defaultdict(list)
    for (latitude, longitude), own in sorted(at_place.items()):
        try:
            conditions = site_conditions(site_years(Site(latitude=latitude, longitude=longitude)))
        except ContentFaults:
            continue
        days = foretold(conditions.clock, [tables.by_id[name] for name in dict.fromkeys(r.cultivar_id for r in own)])
        climate, warm = climate_of(conditions.clock, latitude)
        for event in ("bloom", "picking"):
            for service in (True, False):
                off = [
                    (days[event][row.cultivar_id] - row.day + 182.5) % 365.0 - 182.5
                    for row in own
                    if row.event == event and row.service == service and row.cultivar_id in days[event]
                ]
                if off:
                    kind = "service" if service else "commerce"
                    for group in ("all", climate, "warm or southern" if warm else "neither"):
                        late[event, kind, group].append(off)
    for (event, kind, group), by_place in sorted(late.items()):
        middles = np.array([np.median(off) for off in by_place])
        beyond = float(np.mean([np.mean(np.abs(off) > BEYOND_DAYS) for off in map(np.array, by_place)]))
        measure = f"{event} by {kind}"
        yield Figure(
            f"{measure}: median error of places, d", group, round(float(np.median(np.abs(middles))), 1), len(middles)
        )
        yield Figure(f"{measure}: median days late", group, round(float(np.median(middles)), 1), len(middles))
        yield Figure(f"{measure}: share beyond three weeks", group, round(beyond, 3), len(middles))


def facts(tables: Tables, unseen: Unseen) -> Iterator[Figure]:
    """Share of the numbers of unseen documents within the stated 80 per cent range, by trait."""
    evidence = evidence_of(tables)
    both = {topic: (*told, *unseen.by_topic.get(topic, ())) for topic, told in evidence.by_topic.items()}
    own = {one.source_id for told in unseen.by_topic.values() for one in told} - {FROM_MEMORY}
    within: defaultdict[str, list[bool]] = defaultdict(list)
    for trait, _, source_id, value, error, others in each_left_out(replace(evidence, by_topic=both)):
        if source_id in own:
            off = abs(value - others.value) / math.hypot(error, others.deviation)
            within[trait].append(off <= EIGHTY_PERCENT)
            within["all traits"].append(off <= EIGHTY_PERCENT)
    for trait, hits in sorted(within.items()):
        yield Figure("numbers within the stated 80 % range", trait, round(float(np.mean(hits)), 3), len(hits))


def judge(tables: Tables, drawn: Iterable[Row]) -> list[Figure]:
    """Every figure that the documents drawn give."""
    unseen = unseen_of(tables, drawn)
    return [
        *order_and_verdicts(tables, speakers(unseen)),
        *dates(tables, unseen),
        *facts(tables, unseen),
    ]


def main() -> None:
    """Judge, print and keep."""
    found = judge(load(), read_table(TABLES / "published" / "unseen.csv"))
    for one in found:
        sys.stdout.write(f"{one.measure:55s} {one.group:20s} {one.value:8.3f} n {one.n}\n")
    keep(RESULTS, found, state_of_tree())


if __name__ == "__main__":
    main()
