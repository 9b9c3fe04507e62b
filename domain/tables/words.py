"""Sentences of the answers: a code, the values in it, and its text from ``reference_tables/words/``.

No sentence stands in code. `say` makes one from its code and values; a front end can say it in its own language, units
and date style from the same code and values. A text holds slots, ``{name}`` or ``{name:kind}``:

* ``{years:of_ten}`` a number of years as "8 of 10", in whole years;
* ``{day:date}`` an ``MM-DD`` date as "22 April";
* ``{need:whole}`` and ``{share:one_place}`` a number rounded; ``{share:percent}`` a share as whole percent;
* ``{told:four_digits}`` a number as short as it goes, to four digits;
* ``{limiting:factor}`` the label of a code: the text of ``factor.<code>``; any other word as kind names such a family;
  with a capital (``{disease:Disease}``) the label begins with one;
* ``{name}`` a name as it is; a list of names is joined.
"""

import functools
import math
import string
from collections.abc import Mapping
from pathlib import Path

import msgspec

from domain.tables.loading import TABLES, TableError, rows

Value = str | int | float | bool | None | tuple[str, ...]

_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


class Sentence(msgspec.Struct, frozen=True, kw_only=True):
    """One sentence: its code, the values in it (rounded as they are said), and its words in English."""

    code: str
    values: dict[str, Value]
    words: str


class Text(msgspec.Struct, frozen=True, kw_only=True):
    """The text of a code with its slots by name, and what kind of value each slot takes ('' for a name)."""

    code: str
    text: str
    slots: dict[str, str]
    note: str


class _Row(msgspec.Struct, frozen=True, kw_only=True):
    """A row of words/en.csv."""

    code: str
    text: str
    note: str = ""


@functools.cache
def texts(directory: Path = TABLES) -> Mapping[str, Text]:
    """Every text by its code. Raises TableError for a code that stands twice or a slot that cannot be read."""
    path = directory / "words" / "en.csv"
    found: dict[str, Text] = {}
    for line, row in enumerate(rows(path, _Row), start=2):
        if row.code in found:
            raise TableError(f"words/{path.name}, line {line}, column code: {row.code!r} stands twice")
        try:
            slots = {name: kind or "" for _, name, kind, _ in string.Formatter().parse(row.text) if name is not None}
        except ValueError as fault:
            raise TableError(f"words/{path.name}, line {line}, column text: {fault}") from fault
        found[row.code] = Text(code=row.code, text=row.text, slots=slots, note=row.note)
    return found


def say(code: str, **values: Value) -> Sentence:
    """The sentence of a code with these values. Raises KeyError for an unknown code or a slot without its value."""
    text = texts()[code]
    rounded = {name: _rounded(text.slots.get(name, ""), value) for name, value in values.items()}
    return Sentence(code=code, values=rounded, words=_FORMATTER.vformat(text.text, (), rounded))


def of_ten(years: float) -> str:
    """A number of years as "8 of 10"."""
    return f"{_rounded('of_ten', years)} of 10"


def label(family: str, code: str) -> str:
    """What people call a code of a closed set: the text of ``family.code``."""
    return texts()[f"{family}.{code}"].text


class _Formatter(string.Formatter):
    """Fills the slots of a text by their kinds."""

    def format_field(self, value: object, format_spec: str) -> str:
        """The words of one value."""
        if isinstance(value, tuple):
            named = [label(format_spec, one) if format_spec else one for one in value]
            return " and ".join([", ".join(named[:-1]), named[-1]]) if len(named) > 1 else "".join(named)
        match format_spec:
            case "of_ten":
                return f"{value} of 10"
            case "date":
                month, day = (int(part) for part in str(value).split("-"))
                return f"{day} {_MONTHS[month - 1]}"
            case "" | "whole":
                return str(value)
            case "one_place":
                return f"{value:.1f}"
            case "percent":
                return f"{round(100 * float(str(value)))} %"
            case "four_digits":
                return f"{value:.4g}"
            case family:
                called = label(family.lower(), str(value))
                return called if family.islower() else called[0].upper() + called[1:]


_FORMATTER = _Formatter()


def _rounded(kind: str, value: Value) -> Value:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    match kind:
        case "of_ten":
            return min(10, max(0, math.floor(value + 0.5)))
        case "whole":
            return math.floor(value + 0.5)
        case "one_place":
            return round(value, 1)
        case "percent":
            return round(value, 2)
        case "four_digits":
            return float(f"{value:.4g}")
        case _:
            return value
