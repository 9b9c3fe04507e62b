"""Figures set to other values for a while: what a figure may become, and the memories that must forget it."""

import importlib
import pkgutil
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

import msgspec

import domain
from domain.tables.parameters import READ, Parameter, ParameterRoom, all_parameters

ORDER: tuple[ParameterRoom, ...] = (
    "weather", "tree_year", "site_climate", "hazards", "traits", "orchard_site", "pollination", "suitability", "trees",
    "ground", "year_of_work", "trunks", "planting_list",
)  # fmt: skip
"""Rooms in the order in which they use each other; adoption is left out: it works offline, into committed tables."""

STRETCH = 0.2
"""How far a figure without low and high is moved either way, as a share of itself, where that is asked for."""


@dataclass(frozen=True)
class Move:
    """One figure and a value to try. `known`: the value is the low or high of its row and not a stretch."""

    figure: Parameter
    value: object
    known: bool


def read_all() -> None:
    """Import every module of the domain, so that every figure is read."""
    for module in pkgutil.walk_packages(domain.__path__, "domain."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)


def moves(rooms: Sequence[str] = ORDER, stretched: bool = False) -> list[Move]:
    """The low and the high of every figure that has them; of the other numbers a fifth less and more if `stretched`."""
    read_all()
    found: list[Move] = []
    for figure in all_parameters():
        struct = READ.get((figure.room, figure.subject))
        if figure.room not in rooms or struct is None:
            continue
        now = getattr(struct, figure.name)
        if figure.low is not None or figure.high is not None:
            ends = [end for end in (figure.low, figure.high) if end is not None and end != now]
            found += [Move(figure, type(now)(end), known=True) for end in ends]
        elif stretched:
            found += [Move(figure, value, known=False) for value in _stretches(now, figure.unit)]
    return found


def _stretches(now: object, unit: str) -> list[object]:
    """A fifth less and a fifth more; a share stays one; words and nothing stay as they are."""
    tried: list[object] = []
    for factor in (1.0 - STRETCH, 1.0 + STRETCH):
        if isinstance(now, tuple) and all(isinstance(one, float) for one in now):
            tried.append(tuple(_times(one, factor, unit) for one in now))
        elif isinstance(now, float):
            tried.append(_times(now, factor, unit))
        elif isinstance(now, int):
            step = max(round(abs(now) * STRETCH), 1)
            tried.append(now + (step if factor > 1.0 else -step))
    return [value for value in tried if value != now]


def _times(now: float, factor: float, unit: str) -> float:
    moved = now * factor
    return min(moved, 1.0) if not unit and 0.0 <= now <= 1.0 else moved


@contextmanager
def moved(move: Move) -> Iterator[None]:
    """Within, the figure has the value of the move, and nothing remembers another; afterwards all is as before."""
    struct = READ[move.figure.room, move.figure.subject]
    before = getattr(struct, move.figure.name)
    msgspec.structs.force_setattr(struct, move.figure.name, move.value)
    forget(move.figure.room)
    try:
        yield
    finally:
        msgspec.structs.force_setattr(struct, move.figure.name, before)
        forget(move.figure.room)


def forget(room: ParameterRoom) -> None:
    """Empty the memories of functions in a room and in those that use it; what is read from tables stays."""
    rooms = {f"domain.{name}" for name in ORDER[ORDER.index(room) :]}
    for name, module in list(sys.modules.items()):
        if ".".join(name.split(".")[:2]) in rooms:
            for kept in vars(module).values():
                if hasattr(kept, "cache_clear"):
                    kept.cache_clear()
