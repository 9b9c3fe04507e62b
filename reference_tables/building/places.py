"""One spelling and one pin for each place of a country, since a place has one vote and is left out as one.

Observations alone are walked: what witnesses tell of where a cultivar stands (`witnesses`) keeps its own pins, so that
a place of theirs may still be pinned a second time beside one of these.
"""

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
    """The rows with one pin of each place: the one that most rows give, for all that lie near it.

    Pins are walked from the one of most rows on; each goes to the first that is kept near it, or else is kept itself.
    """
    told: dict[tuple[str, str], Counter[_Pin]] = {}
    for entry in raw:
        if entry.place and entry.latitude and entry.longitude:
            told.setdefault((entry.country, entry.place), Counter())[entry.latitude, entry.longitude] += 1
    pins = {(place, pin): kept for place, counts in told.items() for pin, kept in _kept_pins(counts).items()}
    moved = []
    for entry in raw:
        latitude, longitude = pins.get(
            ((entry.country, entry.place), (entry.latitude, entry.longitude)), (entry.latitude, entry.longitude)
        )
        moved.append(replace(entry, latitude=latitude, longitude=longitude))
    return moved


def _kept_pins(counts: Counter[_Pin]) -> dict[_Pin, _Pin]:
    """Pin -> the pin that stands for it."""
    kept: dict[_Pin, _Pin] = {}
    for pin in sorted(counts, key=lambda one: (-counts[one], one)):
        kept[pin] = next((one for one in kept.values() if _near(one, pin)), pin)
    return kept


def _near(one: _Pin, other: _Pin) -> bool:
    return all(abs(float(a) - float(b)) <= NEAR_DEGREES for a, b in zip(one, other, strict=True))
