"""Closed sets whose words stand in the tables and not in a type: what a field of an answer may hold, for the contract.

A set grows with the tables, as the contract says of every enumeration in answers.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, get_args

import msgspec

from domain.fruit.complaints import PlainCause
from domain.tables.loading import FRUIT, TABLES, rows
from domain.tables.tree_forms import tree_forms
from domain.tables.words import texts
from domain.traits.fixed_parts import FIGURES as HABIT_FIGURES
from domain.traits.fruit_like import Use

Document = dict[str, Any]


@dataclass(frozen=True)
class TableSet:
    """Where a set stands in the contract, ``Component.field`` (``*`` for every component), and what is in it."""

    places: tuple[str, ...]
    words: Callable[[], Iterable[str]]
    but_not: tuple[str, ...] = ()
    """Components that hold other words under this name."""


class _Trait(msgspec.Struct, frozen=True, kw_only=True):
    trait: str
    values: tuple[str, ...] = ()


class _Cause(msgspec.Struct, frozen=True, kw_only=True):
    cause: str


class _Habit(msgspec.Struct, frozen=True, kw_only=True):
    trait: str
    value: str


def _values_of(trait: str) -> Callable[[], Iterable[str]]:
    return lambda: next(
        one.values for one in rows(TABLES / FRUIT / "traits.csv", _Trait, ("values",)) if one.trait == trait
    )


def _habits() -> set[str]:
    return {one.value for one in rows(TABLES / "adopted" / "findings.csv", _Habit) if one.trait == "habit"}


def _causes() -> set[str]:
    """The causes of the table, and those that are told apart by the trees about (what ails a partner)."""
    return {one.cause for one in rows(TABLES / FRUIT / "complaint_causes.csv", _Cause)} | set(get_args(PlainCause))


SETS: dict[str, TableSet] = {
    "SentenceCode": TableSet(
        ("*.code",), lambda: (code for code in texts() if "." not in code), ("Text", "WordAnswer")
    ),
    "TreeFormId": TableSet(
        ("PlantedTree.tree_form_id", "TreeFormAnswer.id", "TreeFormRecord.id"), lambda: tree_forms().keys()
    ),
    "CauseCode": TableSet(("LikelyCause.cause",), _causes),
    "CrownHabit": TableSet(("TreeHabit.habit",), _habits),
    "FruitingHabit": TableSet(("TreeHabit.fruiting_habit",), _values_of("fruiting_habit")),
    "GrowthFormOfTree": TableSet(("TreeHabit.growth_form",), _values_of("growth_form")),
    "VigourClass": TableSet(("TreeHabit.vigour",), lambda: HABIT_FIGURES.vigour_words),
    "FruitUse": TableSet(("PlantedTree.uses", "Suitability.uses"), lambda: get_args(Use)),
    "PartOfRequest": TableSet(("Fault.location",), lambda: ("path", "query")),
}


def with_sets_of_tables(components: Document) -> Document:
    """The components with the words of the tables at the fields that hold them, written where a plain text stood.

    Raises KeyError where a field is gone, or holds no plain text.
    """
    made = dict(components)
    for told in SETS.values():
        words = sorted(set(told.words()))
        for place in told.places:
            name, field = place.split(".")
            anywhere = name == "*"
            for component in _having(made, field, told.but_not) if anywhere else [name]:
                properties = made[component]["properties"]
                found, changed = _listed(properties[field], words)
                if not (changed or anywhere):
                    raise KeyError(place)
                made[component] = made[component] | {"properties": properties | {field: found}}
    return made


def _having(components: Document, field: str, but_not: tuple[str, ...]) -> list[str]:
    return [name for name, one in components.items() if field in one.get("properties", ()) and name not in but_not]


def _listed(schema: Document, words: list[str]) -> tuple[Document, bool]:
    """A schema with these words for its plain text, wherever in it that stands; whether it held one."""
    if schema.get("type") == "string" and "enum" not in schema:
        return schema | {"enum": words}, True
    if "items" in schema:
        items, changed = _listed(schema["items"], words)
        return schema | {"items": items}, changed
    branches = [_listed(branch, words) for branch in schema.get("anyOf", ())]
    if any(changed for _, changed in branches):
        return schema | {"anyOf": [branch for branch, _ in branches]}, True
    return schema, False
