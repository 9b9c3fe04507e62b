"""Plantings as a spreadsheet writes them: a row a tree, and the judgements as such a table again.

Columns: `list` (the name of the planting), `latitude`, `longitude`, `elevation_m` (of the first row of a list),
`as_of`, `cultivar` (empty: not known), `label`, `count`, `state`, `rootstock`, `year_planted`, `complaints` and
`signs` (parted by blanks), `tree_form`, `pruning`, `feeding`, `sun_hours`, `height_m`, `spread_m`, `x_m` and `y_m`
(its place), and the days seen: `full_bloom`, `first_ripe`, `last_crop`. Rows of one list stand together. A byte order
mark, semicolons between cells and commas in numbers are understood; a file that is not UTF-8 is told as such, since a
guess would spoil the names.
"""

import csv
import io
import math
import re
from collections.abc import Callable, Iterator
from typing import IO, Any

import msgspec

from api import strict_bodies
from api.planting_list_reviews import PlantingListReviewAnswer
from api.problems import INVALID_CONTENT, INVALID_SHAPE, Fault, Refusal, counted
from api.review_lines import MOST_LINES, Line, LineProblem, ReviewLines
from api.review_rows import problem_row, review_rows
from domain.reviews.review_request import PlantingListReviewRequest

COLUMNS = (
    "list",
    "latitude",
    "longitude",
    "elevation_m",
    "as_of",
    "cultivar",
    "label",
    "count",
    "state",
    "rootstock",
    "year_planted",
    "complaints",
    "signs",
    "tree_form",
    "pruning",
    "feeding",
    "sun_hours",
    "height_m",
    "spread_m",
    "x_m",
    "y_m",
    "full_bloom",
    "first_ripe",
    "last_crop",
)
NEEDED = ("list", "latitude", "longitude", "cultivar")
OF_SITE = ("latitude", "longitude", "elevation_m")
WORDS = ("label", "state", "rootstock", "tree_form", "pruning", "feeding")
NUMBERS = ("count", "year_planted", "sun_hours", "height_m", "spread_m")
SEEN = ("full_bloom", "first_ripe", "last_crop")
_NUMBER = re.compile(r"[+-]?([0-9]+([.,][0-9]*)?|[.,][0-9]+)(e[+-]?[0-9]+)?", re.ASCII | re.IGNORECASE)
"""What the language takes beyond this (nan, inf, 1_0, digits of other scripts) no spreadsheet means by a number."""
_WHOLE = 2.0**53
"""From here on a number of 64 bits no longer tells whole numbers apart."""
BEYOND = ""
"""Under which the number of cells of a row is kept that has more of them than the head."""

Encode = Callable[[Line, msgspec.Struct], bytes]


def encoder(as_table: bool) -> Encode:
    """How answers are written: as lines of JSON, or as rows of a table."""
    return _rows if as_table else _json


def _json(_: Line, answered: msgspec.Struct) -> bytes:
    return msgspec.json.encode(answered) + b"\n"


def _rows(line: Line, answered: msgspec.Struct) -> bytes:
    if isinstance(answered, LineProblem):
        where = "; ".join(f"{fault.pointer}: {fault.detail}" for fault in answered.errors) or answered.detail
        return problem_row(line.name, where).encode()
    assert isinstance(answered, PlantingListReviewAnswer)  # the only other answer of a line
    return review_rows(line.name, answered).encode()


def asked(kept: IO[bytes], lines: ReviewLines) -> Iterator[Line]:
    """The plantings of a table, one a list. Raises Refusal for a file or columns that cannot be read."""
    text = io.TextIOWrapper(kept, encoding="utf-8-sig", newline="")
    try:
        head = text.readline()
        between = ";" if head.count(";") > head.count(",") else ","
        names = [cell.strip().lower() for cell in next(csv.reader([head], delimiter=between, strict=True), [])]
    except UnicodeDecodeError as broken:
        raise _not_utf_8() from broken
    except csv.Error as broken:
        raise _cut_off() from broken
    while names and not names[-1]:
        names.pop()  # sheets end with columns of nothing; what stands in one is told with its row
    _check_columns(names)
    return _lists(text, names, between, lines)


def _check_columns(names: list[str]) -> None:
    faults = [
        Fault(pointer=f"#/{name[:40]}", detail="No such column is known here.") for name in names if name not in COLUMNS
    ]
    faults += [Fault(pointer=f"#/{name}", detail="This column is missing.") for name in NEEDED if name not in names]
    faults += [
        Fault(pointer=f"#/{name}", detail="This column is named twice.")
        for name in dict.fromkeys(names)
        if names.count(name) > 1 and name in COLUMNS
    ]
    if faults:
        raise Refusal(INVALID_SHAPE, counted(faults), faults)


def _lists(text: IO[str], names: list[str], between: str, lines: ReviewLines) -> Iterator[Line]:
    rows: list[dict[str, str]] = []
    reader = csv.reader(text, delimiter=between, strict=True)
    while True:
        try:
            cells = next(reader, None)
        except (UnicodeDecodeError, csv.Error) as broken:  # answers may have gone out already: this is one more line
            if rows:
                yield _line(rows, lines)
            lines.seen += 1
            told = _not_utf_8() if isinstance(broken, UnicodeDecodeError) else _cut_off()
            yield Line(lines.seen, refused=told.problem)
            return
        if lines.seen > MOST_LINES:
            return
        row = None if cells is None else dict(zip(names, (cell.strip() for cell in cells), strict=False))
        if row is not None and cells is not None and any(cell.strip() for cell in cells[len(names) :]):
            row[BEYOND] = str(len(cells))
        if row is not None and not any(row.values()):
            continue  # an empty row parts no list
        if rows and (row is None or row.get("list", "") != rows[0]["list"]):
            yield _line(rows, lines)
            rows = []
        if row is None:
            return
        rows.append(row)


def _line(rows: list[dict[str, str]], lines: ReviewLines) -> Line:
    """The planting of the rows of one list: read as the JSON that it stands for, so that all faults are told."""
    first = rows[0]
    long = next((row for row in rows if BEYOND in row), None)
    if long is not None:
        lines.seen += 1
        return Line(lines.seen, refused=_too_wide(long[BEYOND], long.get("cultivar", "")).problem, name=first["list"])
    site = {name: _number(first[name]) for name in OF_SITE if first.get(name)}
    trees = []
    for row in rows:
        tree: dict[str, Any] = {"cultivar": row.get("cultivar") or None}
        tree |= {name: row[name] for name in WORDS if row.get(name)}
        tree |= {name: _number(row[name]) for name in NUMBERS if row.get(name)}
        if row.get("x_m") or row.get("y_m"):
            tree["at_m"] = [_number(row.get("x_m", "")), _number(row.get("y_m", ""))]
        seen = [{"event": name, "date": row[name]} for name in SEEN if row.get(name)]
        if seen:
            tree["seen"] = seen
        for several in ("complaints", "signs"):
            if row.get(several):
                tree[several] = row[several].split()
        trees.append(tree)
    body: dict[str, Any] = {"site": site, "trees": trees}
    if first.get("as_of"):
        body["as_of"] = first["as_of"]
    content = msgspec.json.encode(body)
    try:
        line = lines.take(strict_bodies.decoded(content, PlantingListReviewRequest, lines.bounds))
    except Refusal as refusal:
        lines.seen += 1
        line = Line(lines.seen, refused=refusal.problem)
    line.name = first["list"]
    return line


def _number(text: str) -> float | int | str:
    """A number as a spreadsheet writes it, with a point or a comma; what is none stays text, and is told as such."""
    if not _NUMBER.fullmatch(text):
        return text
    value = float(text.replace(",", "."))
    if not math.isfinite(value):
        return text
    return int(value) if value.is_integer() and text.lstrip("+-").isdigit() and abs(value) < _WHOLE else value


def _too_wide(cells: str, cultivar: str) -> Refusal:
    detail = (
        f"A row (“{cultivar[:40]}”) has {cells} cells, more than the head has columns; numbers with a decimal comma "
        "stand in quotation marks, or semicolons part the cells."
    )
    return Refusal(INVALID_SHAPE, detail, [Fault(pointer="#", detail=detail)])


def _cut_off() -> Refusal:
    detail = (
        "From here on the table cannot be read: a quotation mark may stand open or amid a cell, or the file is cut off."
    )
    return Refusal(INVALID_CONTENT, detail, [Fault(pointer="#", detail=detail)])


def _not_utf_8() -> Refusal:
    detail = "The file is not UTF-8; save it as CSV UTF-8. Other encodings are not guessed, since that spoils names."
    return Refusal(INVALID_CONTENT, detail, [Fault(pointer="#", detail=detail)])
