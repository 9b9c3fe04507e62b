"""Insects of the fruit at a site: which of them live in the region, and how hard they press.

One that is counted by broods (domain/hazards/codling_moth.py) takes so much a brood; of the others the texts tell the
range and not how much fruit they take.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import msgspec
import numpy as np

from domain.fruit.insects import INSECTS, InsectModel, Presence
from domain.fruit.regions import share_at
from domain.hazards.codling_moth import FIGURES as MOTH
from domain.hazards.codling_moth import CodlingMothYears
from domain.tables.parameters import figures

Basis = Presence


class MildWinterFigures(msgspec.Struct, frozen=True):
    """Mean of the coldest month (C) from which an insect persists, the span to full pressure, and its pressures."""

    winter_from_c: float
    winter_span_c: float
    least_pressure: float
    highest_pressure: float


MILD_WINTERS = {
    name: figures("fruit", name, MildWinterFigures) for name, one in INSECTS.items() if one.model == "mild_winters"
}


@dataclass(frozen=True)
class FruitInsect:
    """One insect: the share of unprotected fruit it takes (0 to 1), and what its presence rests on.

    by_brood: whether its strikes follow the broods of codling moth, so that early fruit escapes some.
    """

    insect: str
    pressure: float
    basis: Presence
    by_brood: bool = False


@dataclass(frozen=True)
class _Place:
    """What the models ask of a site. share: what the regions say of the insect there, above 0."""

    share: float
    moth: CodlingMothYears
    winter_mean_c: float


def _by_broods(_: str, place: _Place) -> float:
    broods = float(place.moth.generations.mean())
    return float(np.clip(MOTH.pressure_a_brood * broods, 0.0, MOTH.highest_pressure))


def _by_range(_: str, place: _Place) -> float:
    return place.share


def _by_mild_winters(insect: str, place: _Place) -> float | None:
    told = MILD_WINTERS[insect]
    if place.winter_mean_c <= told.winter_from_c:
        return None
    warmer = (place.winter_mean_c - told.winter_from_c) / told.winter_span_c
    return float(np.clip(warmer, told.least_pressure, told.highest_pressure))


MODELS: Mapping[InsectModel, Callable[[str, _Place], float | None]] = {
    "broods": _by_broods,
    "range": _by_range,
    "mild_winters": _by_mild_winters,
}
"""Pressure of an insect at a place, by the name of its model; None where it does not persist."""


def fruit_insects(
    moth: CodlingMothYears, winter_mean_c: float, latitude: float | None, longitude: float | None
) -> tuple[FruitInsect, ...]:
    """The insects to expect at a site, worst first; without a place only those that live nearly everywhere."""
    found = []
    for name, insect in INSECTS.items():
        share = share_at(insect, latitude, longitude)
        pressure = MODELS[insect.model](name, _Place(share, moth, winter_mean_c)) if share > 0.0 else None
        if pressure is not None:
            found.append(FruitInsect(name, pressure, insect.presence, by_brood=insect.model == "broods"))
    return tuple(sorted(found, key=lambda item: (-item.pressure, item.insect)))


def unsure_insects(latitude: float | None, longitude: float | None) -> tuple[str, ...]:
    """The insects whose presence hangs on a place that is not told; none where it is."""
    if latitude is not None and longitude is not None:
        return ()
    return tuple(name for name, insect in INSECTS.items() if insect.place_unknown == 0.0)
