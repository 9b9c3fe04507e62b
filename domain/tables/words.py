"""Sentences of the answers: a code, the values in it, and its text from ``reference_tables/words/``.

No sentence stands in code. `say` makes one from its code and values; a front end can say it in its own language, units
and date style from the same code and values. A text holds slots, ``{name}`` or ``{name:kind}``:

* ``{years:of_ten}`` a number of years as "8 of 10", in whole years;
* ``{day:date}`` an ``MM-DD`` or ``YYYY-MM-DD`` date as "22 April" or "22 April 2024";
* ``{need:whole}`` and ``{share:one_place}`` a number rounded; ``{share:percent}`` a share as whole percent;
* ``{told:four_digits}`` a number as short as it goes, to four digits;
* ``{limiting:factor}`` the label of a code: the text of ``factor.<code>``; any other word as kind names such a family;
  with a capital (``{disease:Disease}``) the label begins with one;
* ``{name}`` a name as it is; a list of names is joined.

The program says everything in English, ``words/en.csv``. ``words/<language>.csv`` holds the same codes in another
language, so that `words_of` can say a sentence again from its code and values; what a language lacks stays English. How
a language writes a date, a decimal and the end of a list are rows of it too (``style.*``).
"""

import functools
import math
import string
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Literal, NamedTuple, get_args

import msgspec

from domain.common.assumptions import Assumption
from domain.common.sentences import Sentence, Value
from domain.tables.loading import FRUIT, TABLES, TableError, rows

Language = Literal["en", "de"]
"""Languages by their tags (RFC 5646)."""
LANGUAGES: tuple[Language, ...] = get_args(Language)

REMEMBERED_WORDS = 4096
"""Words of dates and codes that are kept."""

__all__ = [
    "LANGUAGES",
    "Language",
    "Sentence",
    "Text",
    "Value",
    "assume",
    "label",
    "of_ten",
    "percent",
    "say",
    "texts",
    "whole",
    "words_of",
    "years_of_ten",
]


class Text(msgspec.Struct, frozen=True, kw_only=True):
    """The text of a code with its slots by name, and what kind of value each slot takes ('' for a name)."""

    code: str
    text: str
    slots: dict[str, str]
    note: str


class _Row(msgspec.Struct, frozen=True, kw_only=True):
    """A row of words/<language>.csv."""

    code: str
    text: str
    note: str = ""


class _Disease(msgspec.Struct, frozen=True, kw_only=True):
    disease: str
    name: str
    measure: str
    wanting: str = ""


class _Insect(msgspec.Struct, frozen=True, kw_only=True):
    insect: str
    name: str


class _Event(msgspec.Struct, frozen=True, kw_only=True):
    event: str
    words: str


class _Method(msgspec.Struct, frozen=True, kw_only=True):
    against: str
    kind: str
    words: str


def _of_fruit(root: Path) -> Iterator[tuple[str, _Row]]:
    """File and text of what is said of diseases and insects: it stands in their tables, beside what it is said of."""
    for disease in rows(root / "diseases.csv", _Disease):
        yield "diseases.csv", _Row(code=f"disease.{disease.disease}", text=disease.name, note="label")
        yield "diseases.csv", _Row(code=f"measure.{disease.disease}", text=disease.measure, note="label")
        if disease.wanting:
            yield "diseases.csv", _Row(code=f"wanting.{disease.disease}", text=disease.wanting, note="label")
    for insect in rows(root / "insects.csv", _Insect):
        yield "insects.csv", _Row(code=f"insect.{insect.insect}", text=insect.name, note="label")
    for event in rows(root / "health_events.csv", _Event):
        yield "health_events.csv", _Row(code=event.event, text=event.words)
    for method in rows(root / "hand_methods.csv", _Method):
        yield "hand_methods.csv", _Row(code=f"{method.against}_{method.kind}", text=method.words)


@functools.cache
def texts(language: Language = "en", directory: Path = TABLES) -> Mapping[str, Text]:
    """Every text of a language by its code; what English has and the language lacks is in English.

    Raises TableError for a code that stands twice or a slot that cannot be read, and in a language other than English
    for a code that English has not, or whose slots are others.
    """
    file = f"words/{language}.csv"
    own = [(file, row) for row in rows(directory / file, _Row)]
    if language == "en":
        return _read([*own, *_of_fruit(directory / FRUIT)])
    english, found = texts("en", directory), _read(own)
    for code, text in found.items():
        if code not in english or set(text.slots) != set(english[code].slots):
            raise TableError(f"{file}, text of {code}: English has no such code, or it has other slots")
    return {**english, **found}


def _read(told: list[tuple[str, _Row]]) -> dict[str, Text]:
    found: dict[str, Text] = {}
    for file, row in told:
        if row.code in found:
            raise TableError(f"{file}: the code {row.code!r} stands twice")
        try:
            slots = {name: kind or "" for _, name, kind, _ in string.Formatter().parse(row.text) if name is not None}
        except ValueError as fault:
            raise TableError(f"{file}, text of {row.code}: {fault}") from fault
        found[row.code] = Text(code=row.code, text=row.text, slots=slots, note=row.note)
    return found


def say(code: str, **values: Value) -> Sentence:
    """The sentence of a code with these values. Raises KeyError for an unknown code or a slot without its value."""
    return Sentence(code=code, values=values, words=words_of(code, values))


def words_of(code: str, values: dict[str, Value], language: Language = "en") -> str:
    """The words of a code with these values, which are rounded in place as they are said. Raises as `say` does."""
    filled = _filled(code, language)
    for name, rounded in filled.rounded:
        value = values[name]
        if type(value) is int or isinstance(value, float):
            values[name] = rounded(value)
    return filled.form % tuple(
        [values[name] if worded is None else worded(values[name]) for name, worded in filled.slots]
    )


def assume(field: str, code: str, assumed: str | float | bool | None = None, /, **values: Value) -> Assumption:
    """What is taken for granted of a field, and why: the text of the code.

    assumed: a number or a code; None if it is words, the text of ``<code>.assumed``. Raises as `say` does.
    """
    why = say(code, **values)
    kept: dict[str, Value] = {}
    if assumed is None:
        told = say(f"{code}.assumed", **values)
        assumed = told.words
        kept = {name: told.values[name] for name in texts()[told.code].slots}
    return Assumption(field=field, assumed=assumed, why=why.words, code=code, values={**why.values, **kept})


def of_ten(years: float) -> str:
    """A number of years as "8 of 10"."""
    return f"{years_of_ten(years)} {label('style', 'of_ten')}"


def label(family: str, code: str, language: Language = "en") -> str:
    """What people call a code of a closed set: the text of ``family.code``."""
    return texts(language)[f"{family}.{code}"].text


class _Filled(NamedTuple):
    """A text read once, so that it can be said many thousand times: its form with a ``%s`` or the like for each slot.

    rounded: the slots whose numbers are rounded, and how. slots: each slot in its order, and what makes words of it if
    the form itself does not.
    """

    form: str
    rounded: tuple[tuple[str, Callable[[int | float], int | float]], ...]
    slots: tuple[tuple[str, Callable[[Value], str] | None], ...]


@functools.cache
def _filled(code: str, language: Language) -> _Filled:
    text = texts(language)[code]
    formed = _formed(language)
    form, slots = [], []
    for literal, name, kind, _ in string.Formatter().parse(text.text):
        form.append(literal.replace("%", "%%"))
        if name is not None:
            form.append(formed.get(kind or "", "%s"))
            slots.append((name, None if kind in formed else _worded(kind or "", language)))
    rounded = tuple((name, _ROUNDED[kind]) for name, kind in text.slots.items() if kind in _ROUNDED)
    return _Filled("".join(form), rounded, tuple(slots))


@functools.cache
def _formed(language: Language) -> Mapping[str, str]:
    """Kinds whose words the form itself makes: with another decimal sign than a point, those without decimals alone."""
    whole = {"whole": "%s", "of_ten": f"%s {label('style', 'of_ten', language)}"}
    if label("style", "decimal_sign", language) != ".":
        return whole
    return {**whole, "one_place": "%.1f", "four_digits": "%.4g"}


@functools.cache
def _worded(kind: str, language: Language) -> Callable[[Value], str]:
    """What makes the words of a value of a kind; a list of names is joined."""
    sign = label("style", "decimal_sign", language)
    worded: Mapping[str, Callable[[Value], str]] = {
        "": lambda value: str(value).replace(".", sign) if isinstance(value, float) else str(value),
        "date": functools.partial(_date, language),
        "percent": lambda value: f"{round(100 * float(str(value)))} %",
        "one_place": lambda value: f"{float(str(value)):.1f}".replace(".", sign),
        "four_digits": lambda value: f"{float(str(value)):.4g}".replace(".", sign),
    }
    one = worded.get(kind) or functools.partial(_labelled, kind, language)
    return lambda value: _joined(kind, value, language) if isinstance(value, tuple) else one(value)


@functools.lru_cache(maxsize=REMEMBERED_WORDS)
def _joined(kind: str, names: tuple[str, ...], language: Language) -> str:
    named = [label(kind, each, language) if kind else each for each in names]
    if len(named) < 2:
        return "".join(named)
    return f"{', '.join(named[:-1])} {label('style', 'and', language)} {named[-1]}"


@functools.lru_cache(maxsize=REMEMBERED_WORDS)
def _labelled(family: str, language: Language, code: Value) -> str:
    text = label(family.lower(), str(code), language)
    return text if family.islower() else text[0].upper() + text[1:]


@functools.lru_cache(maxsize=REMEMBERED_WORDS)
def _date(language: Language, value: Value) -> str:
    *year, month, day = (int(part) for part in str(value).split("-"))
    style = label("style", "date_with_year" if year else "date", language)
    return style.format(day=day, month=label("month", str(month), language), year="".join(map(str, year)))


def years_of_ten(years: float) -> int:
    """A number of years as it is told: in whole years, 0 to 10."""
    return min(10, max(0, math.floor(years + 0.5)))


def whole(value: float) -> int:
    """A number as it is told in whole numbers."""
    return math.floor(value + 0.5)


def percent(share: float) -> float:
    """A share as it is told, to a whole percent."""
    return _nearest(share, 2, 100.0)


def _nearest(value: float, places: int, scale: float) -> float:
    """`round(value, places)`, and `scale` ten to the power of the places: the exact rule is only asked near a half."""
    scaled = value * scale
    if not -1e9 < scaled < 1e9:
        return round(value, places)
    whole = math.floor(scaled + 0.5)
    return whole / scale if -0.4999 < scaled - whole < 0.4999 else round(value, places)


_ROUNDED: Mapping[str, Callable[[int | float], int | float]] = {
    "of_ten": years_of_ten,
    "whole": whole,
    "one_place": lambda value: _nearest(value, 1, 10.0),
    "percent": percent,
    "four_digits": lambda value: float(f"{value:.4g}"),
}
