"""Adopted rootstocks and tree forms from what was published: ``python -m domain.adoption.rootstocks`` writes them.

A test holds them equal.
"""

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from domain.adoption.rootstock_traits import WordScore, adopt
from domain.adoption.tree_form_ranges import adopt_ranges
from domain.tables.cultivars import Estimate, Finding
from domain.tables.loading import TABLES, rows
from domain.tables.rootstock_observations import RootstockObservation
from domain.tables.tree_form_ranges import PracticeRange
from domain.tables.tree_forms import FormRow
from reference_tables.building.package import write_package

_ROOTSTOCK_COLUMNS = (
    "rootstock_id", "name", "trait", "value", "deviation", "agreement", "unit", "basis", "observations", "sources",
)  # fmt: skip
_FORM_COLUMNS = ("form_id", "trait", "low", "high", "unit", "basis", "observations", "sources")


def adopted_tables(directory: Path | None = None) -> dict[str, str]:
    """Text of `adopted/rootstocks.csv` and `adopted/tree_forms.csv`, by path below the tables' directory."""
    root = directory or TABLES
    observations = rows(root / "observations" / "rootstocks.csv", RootstockObservation)
    words = rows(root / "space" / "rootstock_words.csv", WordScore)
    forms = rows(root / "space" / "tree_forms.csv", FormRow, ("pruning_times", "bearing_habits"))
    practice = rows(root / "space" / "tree_form_practice.csv", PracticeRange)
    names = {o.rootstock_id: o.name for o in observations}
    stocks = []
    for (stock, trait), told in sorted(adopt(observations, words).items()):
        spread, unit = (told.deviation, told.unit) if isinstance(told, Estimate) else ("", "")
        agreement = told.agreement if isinstance(told, Finding) else ""
        kind = (spread, agreement, unit)
        row = (stock, names[stock], trait, told.value, *kind, told.basis, told.observations, ";".join(told.sources))
        stocks.append(row)
    ranges = [
        (form, trait, told.low, told.high, told.unit, told.basis, told.observations, ";".join(told.sources))
        for (form, trait), told in adopt_ranges([form.form_id for form in forms], observations, practice).items()
    ]
    return {
        "adopted/rootstocks.csv": _text(_ROOTSTOCK_COLUMNS, stocks),
        "adopted/tree_forms.csv": _text(_FORM_COLUMNS, ranges),
    }


def _text(columns: Sequence[str], table: Sequence[Sequence[object]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(table)
    return text.getvalue()


def main() -> None:
    """Recompute and write, and print what was written."""
    for name, text in adopted_tables().items():
        (TABLES / name).write_text(text, encoding="utf-8", newline="")
        print(f"{name:28} {text.count(chr(10)) - 1:5} rows")
    write_package(TABLES)


if __name__ == "__main__":
    main()
