"""One spelling and one pin for each place of a country, since a place has one vote and is left out as one."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace

from reference_tables.building.observations import Raw
from reference_tables.spelling import key, keys

NEAR_DEGREES = 0.2
"""Pins of one name within this many degrees are one place, told more or less exactly."""

_Pin = tuple[str, str]


def spelled_once(raw: Iterable[Raw], same_places: Mapping[str, str]) -> list[Raw]:
    """The rows with one spelling of each place; `same_places` are other names of places (as keys) by decision.

    Case, accents and written-out vowels are forgiven; a spelling with accents goes before those without, then what most
    rows say.
    """
    decided = [replace(entry, place=same_places.get(key(entry.place), entry.place)) for entry in raw]
    told = Counter((entry.country, entry.place) for entry in decided if entry.place)
    spelling: dict[tuple[str, str], str] = {}
    for country, place in sorted(told, key=lambda one: (one[1].isascii(), -told[one], one)):
        known = [(country, spelled) for spelled in keys(place)]
        first = next((spelling[one] for one in known if one in spelling), place)
        spelling |= dict.fromkeys(known, first)
    return [
        replace(entry, place=spelling[entry.country, keys(entry.place)[0]]) if entry.place else entry
        for entry in decided
    ]


def pinned_once(raw: list[Raw]) -> list[Raw]:
    """The rows with one pin of each place: the one that most rows give, for all that lie near it."""
    told: dict[tuple[str, str], Counter[_Pin]] = {}
    for entry in raw:
        if entry.place and entry.latitude and entry.longitude:
            told.setdefault((entry.country, entry.place), Counter())[entry.latitude, entry.longitude] += 1
    pins = {
        (place, pin): next(kept for kept in _by_rows(counts) if _near(kept, pin))
        for place, counts in told.items()
        for pin in counts
    }
    moved = []
    for entry in raw:
        latitude, longitude = pins.get(
            ((entry.country, entry.place), (entry.latitude, entry.longitude)), (entry.latitude, entry.longitude)
        )
        moved.append(replace(entry, latitude=latitude, longitude=longitude))
    return moved


def _by_rows(counts: Counter[_Pin]) -> list[_Pin]:
    return sorted(counts, key=lambda pin: (-counts[pin], pin))


def _near(one: _Pin, other: _Pin) -> bool:
    return all(abs(float(a) - float(b)) <= NEAR_DEGREES for a, b in zip(one, other, strict=True))
