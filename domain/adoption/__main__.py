"""Recomputes the adopted tables from the published observations.

``python -m domain.adoption`` writes reference_tables/adopted; with ``--check`` it compares instead, prints the
coverage, and ends with 1 if a committed value is not what the observations give.
"""

import argparse
import csv
import io
import sys
from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path

import reference_tables
from domain.adoption import steps as adoption
from domain.adoption.steps import Key
from domain.tables import loading as tables
from domain.tables.cultivars import Cultivar, Estimate, Finding
from reference_tables.building.package import write_package

NUMBER_COLUMNS = (
    "cultivar_id", "trait", "value", "deviation", "unit", "basis", "observations", "sources", "inherited_from",
)  # fmt: skip
FINDING_COLUMNS = (
    "cultivar_id", "trait", "value", "agreement", "basis", "observations", "sources", "inherited_from", "conflicts",
)  # fmt: skip
MOST_SOURCES = 12
_ROUNDED = frozenset({"value", "deviation", "agreement"})

Row = dict[str, str]


def main() -> None:
    """Write or check the adopted tables and print what they cover."""
    parser = argparse.ArgumentParser(prog="python -m domain.adoption", description=__doc__)
    parser.add_argument("--check", action="store_true", help="compare with the committed tables instead of writing")
    arguments = parser.parse_args()
    directory = Path(reference_tables.__file__).parent / "adopted"
    known = tables.load(adopted=False)
    numbers, findings = adoption.adopt(adoption.evidence_of(known))
    computed = {
        "numbers.csv": (NUMBER_COLUMNS, number_rows(numbers)),
        "findings.csv": (FINDING_COLUMNS, finding_rows(findings)),
    }
    print(coverage(adoption.with_adopted(known.cultivars, numbers, findings)))
    differing: list[str] = []
    for name, (columns, rows) in computed.items():
        path = directory / name
        if arguments.check:
            differing += [f"{name}: {line}" for line in differences(_read(path), rows)]
        else:
            directory.mkdir(exist_ok=True)
            kept = settled(_read(path) if path.exists() else [], rows)
            path.write_text(_csv(columns, kept), encoding="utf-8", newline="")
    if not arguments.check:
        write_package(directory.parent)
    for line in differing[:50]:
        print(line)
    if differing:
        sys.exit(f"{len(differing)} adopted values are not what the observations give: run python -m domain.adoption")


def number_rows(numbers: Mapping[Key, Estimate]) -> list[Row]:
    """Rows of numbers.csv in the order of cultivar and trait."""
    return [
        {
            "cultivar_id": cultivar_id,
            "trait": trait,
            "value": rounded(found.value),
            "deviation": rounded(found.deviation),
            "unit": found.unit,
            "basis": found.basis,
            "observations": str(found.observations),
            "sources": ";".join(found.sources[:MOST_SOURCES]),
            "inherited_from": found.inherited_from or "",
        }
        for (cultivar_id, trait), found in sorted(numbers.items(), key=lambda item: item[0])
    ]


def finding_rows(findings: Mapping[Key, Finding]) -> list[Row]:
    """Rows of findings.csv in the order of cultivar and trait."""
    return [
        {
            "cultivar_id": cultivar_id,
            "trait": trait,
            "value": found.value,
            "agreement": f"{found.agreement:.2f}",
            "basis": found.basis,
            "observations": str(found.observations),
            "sources": ";".join(found.sources[:MOST_SOURCES]),
            "inherited_from": found.inherited_from or "",
            "conflicts": "; ".join(found.conflicts),
        }
        for (cultivar_id, trait), found in sorted(findings.items(), key=lambda item: item[0])
    ]


def rounded(value: float) -> str:
    """A number as the tables carry it: three decimals below 1, two below 10, one above."""
    decimals = 3 if abs(value) < 1 else 2 if abs(value) < 10 else 1
    return f"{value:.{decimals}f}"


def differences(committed: Iterable[Row], computed: Iterable[Row]) -> list[str]:
    """What differs between two tables, numbers by more than one unit of the last committed digit."""
    old = {(row["cultivar_id"], row["trait"]): row for row in committed}
    new = {(row["cultivar_id"], row["trait"]): row for row in computed}
    lines = [f"{' '.join(key)} is computed, not committed" for key in new.keys() - old.keys()]
    lines += [f"{' '.join(key)} is committed, not computed" for key in old.keys() - new.keys()]
    for key in old.keys() & new.keys():
        for column, cell in old[key].items():
            if not _agree(column, cell, new[key][column]):
                lines.append(f"{' '.join(key)}, {column}: committed {cell!r}, computed {new[key][column]!r}")
    return sorted(lines)


def settled(standing: Iterable[Row], computed: Iterable[Row]) -> list[Row]:
    """The computed rows; one that agrees with the standing row stays as it stands.

    So a number on the edge of rounding, which another machine rounds the other way, does not change the file.
    """
    before = {(row["cultivar_id"], row["trait"]): row for row in standing}
    return [
        old
        if (old := before.get((new["cultivar_id"], new["trait"]))) is not None
        and all(_agree(column, old[column], cell) for column, cell in new.items())
        else new
        for new in computed
    ]


def _agree(column: str, committed: str, computed: str) -> bool:
    if committed == computed:
        return True
    try:
        first, second = float(committed), float(computed)
    except ValueError:
        return False
    decimals = len(committed.partition(".")[2])
    return column in _ROUNDED and abs(first - second) < 1.5 * 10.0**-decimals


def coverage(cultivars: Iterable[Cultivar]) -> str:
    """How many cultivars of each status have each trait, by basis, as a table of text."""
    counts: Counter[tuple[str, str, str]] = Counter()
    statuses: Counter[str] = Counter()
    for cultivar in cultivars:
        statuses[cultivar.status] += 1
        adopted: dict[str, Estimate | Finding] = {**cultivar.numbers, **cultivar.findings}
        for trait, found in adopted.items():
            counts[trait, cultivar.status, "inherited" if found.inherited_from else found.basis] += 1
    bases = ("published", "computed", "inherited", "imputed", "from-memory")
    lines = [
        f"{'trait':32}" + "".join(f"{f'{status} ({count})':>24}{'':31}" for status, count in sorted(statuses.items())),
        f"{'':32}" + "".join(f"{basis:>11}" for _ in statuses for basis in bases),
    ]
    for trait in sorted({trait for trait, _, _ in counts}):
        cells = "".join(f"{counts[trait, status, basis]:>11}" for status in sorted(statuses) for basis in bases)
        lines.append(f"{trait:32}{cells}")
    return "\n".join(lines)


def _read(path: Path) -> list[Row]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def _csv(columns: tuple[str, ...], rows: list[Row]) -> str:
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


if __name__ == "__main__":
    main()
