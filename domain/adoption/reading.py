"""What printed words are read as: the tables below ``fruits/apple/reading``, each row with its basis.

A new word, scheme, class or place is a row there. A row without a value is declared silent: the word is known to occur
and is not read. Every reader answers None for a silent word as for an unknown one.
"""

import functools
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal, TypeVar

import msgspec

from domain.tables.loading import TABLES, TableError, rows
from domain.tables.observations import Observation
from domain.tables.parameters import ParameterBasis

READING = TABLES / "fruits" / "apple" / "reading"
ROOTSTOCKS = TABLES / "space"

Share = Annotated[float, msgspec.Meta(ge=0.0, le=1.0)]
Spread = Annotated[float, msgspec.Meta(gt=0.0)]
Kind = Literal["", "zone", "winter", "frost", "words", "mild words"]

R = TypeVar("R", bound=msgspec.Struct)


class Row(msgspec.Struct, frozen=True, kw_only=True):
    """A row of any of the tables: what it rests on."""

    basis: ParameterBasis
    sources: tuple[str, ...] = ()
    note: str = ""


class Opening(msgspec.Struct, frozen=True, kw_only=True):
    """How the text of a scheme begins; blank opens every text."""

    scheme: str
    opening: str = ""
    kind: Kind = ""
    note: str = ""


class SusceptibilityClass(Row, frozen=True, kw_only=True):
    """A class of a scheme of susceptibility, 0 immune to 1 very susceptible."""

    scheme: str
    published: str
    susceptibility: Share | None = None
    spread: Spread | None = None


class HardinessClass(Row, frozen=True, kw_only=True):
    """A class of a scheme of hardiness, C: a value, or a limit that the hardiness is at most (as cold or colder)."""

    scheme: str
    published: str
    reads: Literal["", "value", "at_most"] = ""
    hardiness_c: Annotated[float, msgspec.Meta(ge=-60.0, le=0.0)] | None = None
    spread_c: Spread | None = None


class SharedError(Row, frozen=True, kw_only=True):
    """Standard deviation that all readings of one kind of evidence share."""

    trait: str
    kind: str
    deviation: Spread
    unit: str


class NumberedTrait(Row, frozen=True, kw_only=True):
    """A trait whose words become numbers between `least` and `most`; `spread` is the error of one text."""

    trait: str
    adopted_trait: str
    read_by: Literal["words", "schemes"]
    weighed: Literal["by_agreement", "texts_first", "evenly"]
    unit: str
    least: float
    most: float
    spread: Spread | None = None
    least_spread: float


class TraitWord(Row, frozen=True, kw_only=True):
    """A word of one trait as a number."""

    trait: str
    published: str
    value: float | None = None


class NamedClass(Row, frozen=True, kw_only=True):
    """A word that becomes a class; `match` says whether the whole text is the word or holds it."""

    adopted_trait: str
    trait: str
    published: str
    match: Literal["whole", "within"]
    value: str | None = None


class SilentTrait(Row, frozen=True, kw_only=True):
    """A trait that documents speak of and that nothing is adopted from; the note says why."""

    trait: str


class Mark(msgspec.Struct, frozen=True, kw_only=True):
    """A phrase by which an observation shows how its value was found."""

    mark: str
    column: Literal["scheme", "note", "published", "source_id", "any"]
    match: Literal["opens", "within"]
    phrase: str
    note: str = ""


@dataclass(frozen=True)
class Scheme:
    """One way of rating: its classes (lower case) with value and error, those that are an upper limit, and its kind."""

    name: str
    kind: str
    classes: Mapping[str, tuple[float, float]]
    limits: frozenset[str] = frozenset()

    def number(self, published: str) -> tuple[float, float] | None:
        """(value, error) of a printed class, None for one that is silent or that the scheme does not have."""
        return self.classes.get(lowered(published))


def lowered(published: str) -> str:
    """A printed word as the tables have it: lower case, without spaces at its ends."""
    return published.strip().lower()


@functools.cache
def table(name: str, row_type: type[R], key: tuple[str, ...], directory: Path = READING) -> tuple[R, ...]:
    """Rows of a table in their order. Raises TableError for a cell that cannot be used or a key that stands twice."""
    path = directory / f"{name}.csv"
    found = rows(path, row_type, ("sources",))
    seen: set[tuple[object, ...]] = set()
    for line, row in enumerate(found, start=2):
        named = tuple(getattr(row, column) for column in key)
        if named in seen:
            raise TableError(f"{path.name}, line {line}, column {key[-1]}: {named[-1]!r} stands twice")
        seen.add(named)
    return tuple(found)


@functools.cache
def susceptibility_schemes(directory: Path = READING) -> tuple[tuple[str, Scheme], ...]:
    """Opening and scheme, in the order in which they are tried."""
    classes = table("susceptibility_classes", SusceptibilityClass, ("scheme", "published"), directory)
    values = [(one.scheme, one.published, one.susceptibility, one.spread) for one in classes]
    return _schemes("susceptibility", values, directory)


@functools.cache
def hardiness_schemes(directory: Path = READING) -> tuple[tuple[str, Scheme], ...]:
    """Opening and scheme, in the order in which they are tried; values are C."""
    classes = table("hardiness_classes", HardinessClass, ("scheme", "published"), directory)
    values = [(one.scheme, one.published, one.hardiness_c, one.spread_c) for one in classes]
    limits = frozenset((one.scheme, one.published) for one in classes if one.reads == "at_most")
    return _schemes("hardiness", values, directory, limits)


def _schemes(
    subject: str,
    classes: Sequence[tuple[str, str, float | None, float | None]],
    directory: Path,
    limits: frozenset[tuple[str, str]] = frozenset(),
) -> tuple[tuple[str, Scheme], ...]:
    openings = table(f"{subject}_schemes", Opening, ("opening",), directory)
    values: defaultdict[str, dict[str, tuple[float, float]]] = defaultdict(dict)
    known = {one.scheme for one in openings}
    for line, (scheme, published, value, error) in enumerate(classes, start=2):
        where = f"{subject}_classes.csv, line {line}"
        if scheme not in known:
            raise TableError(f"{where}, column scheme: no text opens {scheme!r}")
        if (value is None) != (error is None):
            raise TableError(f"{where}: a class has a value and a spread, or neither")
        if value is not None and error is not None:
            values[scheme][published] = (value, error)
    limited = {one.scheme: frozenset(word for scheme, word in limits if scheme == one.scheme) for one in openings}
    return tuple(
        (one.opening, Scheme(one.scheme, one.kind, values[one.scheme], limited[one.scheme])) for one in openings
    )


def scheme_of(text: str, schemes: Sequence[tuple[str, Scheme]]) -> Scheme:
    """The first scheme whose opening the text has; the last of every table opens all."""
    return next(scheme for opening, scheme in schemes if text.startswith(opening))


def shared_errors(trait: str) -> dict[str, float]:
    """Kind of evidence -> standard deviation that its readings of an adopted trait share."""
    found = table("shared_errors", SharedError, ("trait", "kind"))
    return {one.kind: one.deviation for one in found if one.trait == trait}


@functools.cache
def numbered_traits(directory: Path = READING) -> dict[str, NumberedTrait]:
    """Trait as observed -> how it becomes a number."""
    return {one.trait: one for one in table("numbered_traits", NumberedTrait, ("trait",), directory)}


@functools.cache
def weighed(how: str) -> Mapping[str, NumberedTrait]:
    """The numbered traits that are weighed in one way, by trait as observed."""
    return {trait: one for trait, one in numbered_traits().items() if one.weighed == how}


@functools.cache
def _trait_words(directory: Path = READING) -> dict[tuple[str, str], float | None]:
    scales = numbered_traits(directory)
    found: dict[tuple[str, str], float | None] = {}
    for line, one in enumerate(table("trait_words", TraitWord, ("trait", "published"), directory), start=2):
        scale = scales.get(one.trait)
        if scale is None:
            raise TableError(f"trait_words.csv, line {line}, column trait: {one.trait!r} is not in numbered_traits.csv")
        if one.value is not None and not scale.least <= one.value <= scale.most:
            raise TableError(
                f"trait_words.csv, line {line}, column value: {one.value:g} is not in {scale.least:g} to {scale.most:g}"
            )
        found[one.trait, one.published] = one.value
    return found


def trait_number(trait: str, published: str, directory: Path = READING) -> float | None:
    """The number that stands for a word of a trait, None for one that is silent or unknown."""
    return _trait_words(directory).get((trait, lowered(published)))


@functools.cache
def _named(adopted_trait: str, trait: str) -> tuple[NamedClass, ...]:
    found = table("named_classes", NamedClass, ("adopted_trait", "trait", "published"))
    return tuple(one for one in found if (one.adopted_trait, one.trait) == (adopted_trait, trait))


def named_class(adopted_trait: str, trait: str, published: str) -> str | None:
    """The class of `adopted_trait` that a word of `trait` names, by the first row that fits; None if none does."""
    text = lowered(published)
    return next(
        (
            one.value
            for one in _named(adopted_trait, trait)
            if (one.published == text if one.match == "whole" else one.published in text)
        ),
        None,
    )


def named_classes(adopted_trait: str, trait: str, published: str) -> tuple[str, ...]:
    """Every class of `adopted_trait` that the words of `trait` name, each once in the order of the rows."""
    text = lowered(published)
    fitting = (
        one.value
        for one in _named(adopted_trait, trait)
        if (one.published == text if one.match == "whole" else one.published in text)
    )
    return tuple(dict.fromkeys(value for value in fitting if value))


def classes_of(adopted_trait: str) -> dict[str, None]:
    """The observed traits whose words name a class of an adopted trait, in the order of their rows."""
    found = table("named_classes", NamedClass, ("adopted_trait", "trait", "published"))
    return dict.fromkeys(one.trait for one in found if one.adopted_trait == adopted_trait)


def whole_text(observation: Observation) -> str:
    """Place, scheme, note and source of an observation as one text."""
    return " ".join((observation.place, observation.scheme, observation.note, observation.source_id))


@functools.cache
def _marks(mark: str) -> tuple[Mark, ...]:
    found = tuple(one for one in table("marks", Mark, ("mark", "column", "phrase")) if one.mark == mark)
    if not found:
        raise TableError(f"marks.csv: no row has the mark {mark!r}")
    return found


def marked(observation: Observation, mark: str) -> bool:
    """Whether an observation has one of the phrases of a mark. Raises TableError for a mark without a row."""
    for one in _marks(mark):
        text = whole_text(observation) if one.column == "any" else str(getattr(observation, one.column))
        if text.lower().startswith(one.phrase) if one.match == "opens" else one.phrase in text.lower():
            return True
    return False
