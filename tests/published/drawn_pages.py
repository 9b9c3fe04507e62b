"""The pages of sixty cultivars drawn by a fixed rule, to be read as their nursery would read them.

``python -m tests.published.drawn_pages`` prints all that is said of each; with ``--draw`` it writes
`data/drawn_cultivars.csv` anew. The rule: the ten countries of origin with the most advised apples, ties by name; of
each six, three from the half of which most documents speak and three from the other half, those first whose id with the
words ``page of sixty`` before it has the lowest SHA-256. `data/drawn_values_wrong.csv` holds what was found wrong in
them at the first reading.
"""

import argparse
import csv
import hashlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.kinds import planted_for_fruit
from domain.tables.cultivars import Cultivar, Estimate, Finding
from domain.tables.loading import Tables, load
from domain.traits.fixed_parts import fixed_parts
from reference_tables.building.published import Row, read_table

DATA = Path(__file__).parent / "data"
COUNTRIES = 10
OF_EACH_HALF = 3
COLUMNS = ("country", "half", "cultivar_id", "name", "documents")


def _lot(cultivar_id: str) -> str:
    return hashlib.sha256(f"page of sixty {cultivar_id}".encode()).hexdigest()


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


def values(cultivars: Sequence[Cultivar]) -> int:
    """How many values their pages hold."""
    return sum(len(one.numbers) + len(one.findings) for one in cultivars)


def main() -> None:
    """Print the pages, or draw anew."""
    parser = argparse.ArgumentParser(prog="python -m tests.published.drawn_pages", description=__doc__)
    parser.add_argument("--draw", action="store_true", help="write data/drawn_cultivars.csv by the rule")
    tables = load()
    if parser.parse_args().draw:
        with (DATA / "drawn_cultivars.csv").open("w", encoding="utf-8", newline="") as lines:
            writer = csv.DictWriter(lines, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(draw(tables))
    drawn = [tables.by_id[row["cultivar_id"]] for row in committed()]
    for one in drawn:
        print("\n".join(page(one, tables)), end="\n\n")
    print(f"{values(drawn)} values of {len(drawn)} cultivars")


if __name__ == "__main__":
    main()
