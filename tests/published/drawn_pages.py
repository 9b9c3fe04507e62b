"""The pages of sixty cultivars drawn by a fixed rule, and of sixty famous ones, read as their nursery would.

``python -m tests.published.drawn_pages`` prints all that is said of each (``--famous`` of the famous); with
``--draw`` it writes `data/drawn_cultivars.csv` and `data/drawn_famous.csv` anew. The rule: the ten countries of
origin with the most advised apples, ties by name; of each six, three from the half of which most documents
speak and three from the other half, those first whose id with the words ``page of sixty`` before it has the
lowest SHA-256. The famous are, of the two hundred asked for most (`most_asked`) that the first draw has not,
the sixty whose id with the words ``famous page`` before it has the lowest; thirty further famous ones (``--further``)
are those that neither has, by ``famous page of thirty``, and thirty more (``--more``) those that no draw before has, by
``famous page of thirty more``. `data/drawn_values_wrong.csv` holds what was found wrong in all four at the first
reading.
"""

import argparse
import csv
import hashlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.kinds import planted_for_fruit
from domain.tables.cultivars import Cultivar, Estimate, Finding
from domain.tables.loading import Tables, load
from domain.traits.fixed_parts import fixed_parts
from reference_tables.building.published import Row, read_table
from tests.published import most_asked

DATA = Path(__file__).parent / "data"
COUNTRIES = 10
OF_EACH_HALF = 3
FAMOUS = 60
FURTHER = 30
FAMOUS_COLUMNS = ("cultivar_id", "name")
COLUMNS = ("country", "half", "cultivar_id", "name", "documents")


def _lot(cultivar_id: str, words: str = "page of sixty") -> str:
    return hashlib.sha256(f"{words} {cultivar_id}".encode()).hexdigest()


def documents(tables: Tables) -> dict[str, int]:
    """Cultivar id -> how many documents speak of it."""
    told: defaultdict[str, set[str]] = defaultdict(set)
    for observations in tables.by_topic.values():
        for one in observations:
            told[one.cultivar_id].add(one.source_id)
    return {cultivar_id: len(several) for cultivar_id, several in told.items()}


def draw(tables: Tables) -> list[Row]:
    """The rows of `data/drawn_cultivars.csv` that the rule gives."""
    count = documents(tables)
    by_country: defaultdict[str, list[Cultivar]] = defaultdict(list)
    for one in tables.cultivars:
        origin = one.findings.get("origin_country")
        if one.status == "advised" and planted_for_fruit(one) and origin is not None:
            by_country[origin.value].append(one)
    rows: list[Row] = []
    for country in sorted(by_country, key=lambda name: (-len(by_country[name]), name))[:COUNTRIES]:
        ranked = sorted(by_country[country], key=lambda one: (-count.get(one.id, 0), one.id))
        middle = len(ranked) // 2
        for half, several in (("more", ranked[:middle]), ("less", ranked[middle:])):
            for one in sorted(several, key=lambda one: _lot(one.id))[:OF_EACH_HALF]:
                told = str(count.get(one.id, 0))
                rows.append(dict(zip(COLUMNS, (country, half, one.id, one.name, told), strict=True)))
    return rows


def draw_famous(drawn: Iterable[Row], asked: Iterable[Row]) -> list[Row]:
    """The rows of `data/drawn_famous.csv` that the rule gives; the order is that of the lot."""
    return _first(drawn, asked, "famous page", FAMOUS)


def draw_further(drawn: Iterable[Row], asked: Iterable[Row]) -> list[Row]:
    """The rows of `data/drawn_further.csv`; `drawn` has those of both draws before."""
    return _first(drawn, asked, "famous page of thirty", FURTHER)


def draw_more(drawn: Iterable[Row], asked: Iterable[Row]) -> list[Row]:
    """The rows of `data/drawn_more.csv`; `drawn` has those of all draws before."""
    return _first(drawn, asked, "famous page of thirty more", FURTHER)


def _first(drawn: Iterable[Row], asked: Iterable[Row], words: str, count: int) -> list[Row]:
    before = {row["cultivar_id"] for row in drawn}
    left = [row for row in asked if row["cultivar_id"] not in before]
    first = sorted(left, key=lambda row: _lot(row["cultivar_id"], words))[:count]
    return [{column: row[column] for column in FAMOUS_COLUMNS} for row in first]


def page(cultivar: Cultivar, tables: Tables) -> Iterator[str]:
    """Lines of text: every adopted value of a cultivar, how sure it is, what it stands on, and the words made of it."""
    yield f"== {cultivar.name} ({cultivar.id}) {cultivar.status}, {cultivar.kind}, sport of {cultivar.sport_of or '-'}"
    yield "names: " + "; ".join(f"{alias.name} [{alias.kind}]" for alias in cultivar.aliases)
    fixed = fixed_parts(cultivar)
    yield f"sold as {fixed.sold_as}; tree {fixed.tree}; first crop {fixed.years_to_first_crop}"
    rated = zip(DISEASE_BY_ID, fixed.resistances, strict=True)
    yield "resistances: " + "; ".join(f"{name} {told}" for name, told in rated if told != "unknown")
    adopted: dict[str, Estimate | Finding] = {**cultivar.findings, **cultivar.numbers}
    for trait, found in sorted(adopted.items()):
        yield f"  {trait}: {_told(found)} [{found.basis}, {found.observations} of {', '.join(found.sources)}]"
    by_place: defaultdict[str, list[str]] = defaultdict(list)
    places = {place.place_id: place.place for place in tables.witness_places}
    for one in tables.witnesses:
        if one.cultivar_id == cultivar.id:
            by_place[one.says].append(f"{places[one.place_id]} ({one.kind}, {one.source_id})")
    for says, several in sorted(by_place.items()):
        yield f"  {says}: " + "; ".join(sorted(several))


def _told(found: Estimate | Finding) -> str:
    parent = f", from {found.inherited_from}" if found.inherited_from else ""
    if isinstance(found, Estimate):
        return f"{found.value} +-{found.deviation} {found.unit}{parent}"
    others = f"; else {', '.join(found.conflicts)}" if found.conflicts else ""
    return f"{found.value} ({found.agreement}{others}){parent}"


def committed() -> list[Row]:
    """The draw as it stands."""
    return read_table(DATA / "drawn_cultivars.csv")


def committed_famous() -> list[Row]:
    """The draw of famous ones as it stands."""
    return read_table(DATA / "drawn_famous.csv")


def committed_further() -> list[Row]:
    """The draw of further famous ones as it stands."""
    return read_table(DATA / "drawn_further.csv")


def committed_more() -> list[Row]:
    """The last draw of famous ones as it stands."""
    return read_table(DATA / "drawn_more.csv")


def values(cultivars: Sequence[Cultivar]) -> int:
    """How many values their pages hold."""
    return sum(len(one.numbers) + len(one.findings) for one in cultivars)


def main() -> None:
    """Print the pages, or draw anew."""
    parser = argparse.ArgumentParser(prog="python -m tests.published.drawn_pages", description=__doc__)
    parser.add_argument("--draw", action="store_true", help="write all draws by their rules")
    parser.add_argument("--famous", action="store_true", help="print the famous ones")
    parser.add_argument("--further", action="store_true", help="print the further famous ones")
    parser.add_argument("--more", action="store_true", help="print the thirty more")
    tables = load()
    arguments = parser.parse_args()
    if arguments.draw:
        _write("drawn_cultivars.csv", COLUMNS, draw(tables))
        _write("drawn_famous.csv", FAMOUS_COLUMNS, draw_famous(committed(), most_asked.committed()))
        before = committed() + committed_famous()
        _write("drawn_further.csv", FAMOUS_COLUMNS, draw_further(before, most_asked.committed()))
        before += committed_further()
        _write("drawn_more.csv", FAMOUS_COLUMNS, draw_more(before, most_asked.committed()))
    rows = committed_famous() if arguments.famous else committed()
    rows = committed_more() if arguments.more else committed_further() if arguments.further else rows
    drawn = [tables.by_id[row["cultivar_id"]] for row in rows]
    for one in drawn:
        print("\n".join(page(one, tables)), end="\n\n")
    print(f"{values(drawn)} values of {len(drawn)} cultivars")


def _write(name: str, columns: Sequence[str], rows: Iterable[Row]) -> None:
    with (DATA / name).open("w", encoding="utf-8", newline="") as lines:
        writer = csv.DictWriter(lines, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main()
