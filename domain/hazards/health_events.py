"""The year's events of orchard health at a site: when scab spores fly, when moths fly and when to look for strikes.

Each event is a row of health_events.csv: a disease or insect, the clock whose day it is counted from, and its sentence.
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.insects import INSECTS
from domain.fruit.reading import Grounds, table
from domain.hazards.codling_moth import FIGURES as MOTH
from domain.hazards.codling_moth import CodlingMothYears
from domain.hazards.fruit_diseases import wet_hours_reached
from domain.hazards.infection_models import DISEASE_FIGURES
from domain.hazards.infection_weather import InfectionWeather, Orchard
from domain.hazards.insects import FruitInsect
from domain.hazards.scab import spores_spent
from domain.tables.loading import TableError
from domain.tables.parameters import figures
from domain.tree_year.leaf_fall import leaf_fall_of_years
from domain.weather.heat import degree_days


class EventFigures(msgspec.Struct, frozen=True):
    """Years in ten below which an event is left out."""

    least_years_in_ten: float


class EggFigures(msgspec.Struct, frozen=True):
    """Degree days (C) from petal fall until an insect's eggs are laid."""

    eggs_base_c: float
    eggs_dd: float


class HeatSumFigures(msgspec.Struct, frozen=True):
    """Degree days (C) at which an insect comes out of the ground, counted from so many days after midwinter."""

    out_base_c: float
    out_dd: float
    out_counted_from_days: int


FIGURES = figures("hazards", "health_events", EventFigures)


@dataclass(frozen=True, eq=False)
class HealthEvent:
    """An event of orchard health: season day in every year (years,), NaN in years in which it does not come."""

    event: str
    against: str
    day: Floats
    size: float | None = None
    """Of a brood of moths: how much of a full one there is in the middle of the years."""
    certain: bool = True
    """Whether it is known to live there; False where a region decides that and the place is not told."""

    @cached_property
    def middle(self) -> float:
        """Its season day in the middle one of the years in which it comes."""
        return float(np.nanmedian(self.day))

    @property
    def years_in_ten(self) -> float:
        """In how many of ten years it comes."""
        return 10.0 * float(np.isfinite(self.day).mean())


class _Row(Grounds, frozen=True, kw_only=True):
    """A row of health_events.csv."""

    event: str
    against: str
    clock: str
    days_after: float
    words: str


def _eggs_laid(orchard: Orchard, figures: EggFigures) -> Floats:
    after = orchard.within(orchard.stages.petal_fall, np.full_like(orchard.stages.petal_fall, 9999.0))
    daily = degree_days(orchard.tmin_c, orchard.tmax_c, figures.eggs_base_c)
    total = np.cumsum(np.where(after, daily, 0.0), axis=1)
    day: Floats = orchard.first_day + (total < figures.eggs_dd).sum(axis=1).astype(np.float32)
    return day


def _out_of_the_ground(orchard: Orchard, figures: HeatSumFigures) -> Floats:
    return orchard.kept.get("out_of_the_ground", figures, lambda: _heat_reached(orchard, figures))


def _heat_reached(orchard: Orchard, figures: HeatSumFigures) -> Floats:
    daily = degree_days(orchard.tmin_c, orchard.tmax_c, figures.out_base_c)
    daily[:, : figures.out_counted_from_days] = 0.0
    total = np.cumsum(daily, axis=1)
    reached = total >= figures.out_dd
    day: Floats = np.where(reached[:, -1], orchard.first_day + np.argmax(reached, axis=1), np.nan).astype(np.float32)
    return day


STAGE_CLOCKS: Mapping[str, Callable[[Orchard], Floats]] = {
    "green_tip": lambda orchard: orchard.stages.green_tip,
    "first_bloom": lambda orchard: orchard.stages.first_bloom,
    "full_bloom": lambda orchard: orchard.stages.full_bloom,
    "petal_fall": lambda orchard: orchard.stages.petal_fall,
    "picking": lambda orchard: orchard.stages.picking,
    "leaf_fall": lambda orchard: leaf_fall_of_years(orchard.mean_c, orchard.first_day),
}
"""Season days (years,) of a stage of the middling tree, by name."""

FIGURE_CLOCKS: Mapping[str, Callable[[Orchard, Any], Floats]] = {
    "spores_spent": spores_spent,
    "wet_hours_reached": wet_hours_reached,
    "eggs_laid": _eggs_laid,
}
"""Season days (years,) that follow from figures of the disease or insect, by name."""


def _brood_day(brood: int, level: str, moth: CodlingMothYears) -> Floats:
    """Season days (years,) of an event of one brood, counted from 0."""
    days: Floats = getattr(moth, level)[brood]
    return days


BROOD_CLOCKS: Mapping[str, Callable[[CodlingMothYears], Floats]] = {
    f"brood_{n + 1}_{level}": partial(_brood_day, n, level)
    for n in range(len(MOTH.flight_dd))
    for level in ("flight", "hatch_begins", "hatch_peaks")
}
"""Season days (years,) of each brood, NaN where it does not come, by name."""
BROOD_OF = {clock: int(clock.split("_")[1]) - 1 for clock in BROOD_CLOCKS}
"""The place of its brood, by the name of a clock."""

EVENTS = table("health_events", _Row)

if TYPE_CHECKING:
    HealthEventCode: TypeAlias = str
else:  # the closed set of the contract is what stands in the table
    HealthEventCode = Literal[tuple(row.event for row in EVENTS)]

EGGS = {row.against: figures("fruit", row.against, EggFigures) for row in EVENTS if row.clock == "eggs_laid"}
HEAT_SUMS = {
    row.against: figures("fruit", row.against, HeatSumFigures) for row in EVENTS if row.clock == "out_of_the_ground"
}
OTHER_PESTS = tuple(
    dict.fromkeys(row.against for row in EVENTS if row.against not in DISEASE_BY_ID and row.against not in INSECTS)
)
"""What lives nearly everywhere and takes no share of the fruit, so that it has events and no pressure."""

if TYPE_CHECKING:
    OtherPest: TypeAlias = str
else:
    OtherPest = Literal[OTHER_PESTS]


def _day(row: _Row, orchard: Orchard, moth: CodlingMothYears) -> Floats:
    if row.clock in STAGE_CLOCKS:
        return STAGE_CLOCKS[row.clock](orchard)
    if row.clock == "out_of_the_ground":
        return _out_of_the_ground(orchard, HEAT_SUMS[row.against])
    if row.clock in FIGURE_CLOCKS:
        return FIGURE_CLOCKS[row.clock](orchard, EGGS.get(row.against) or DISEASE_FIGURES[row.against])
    if row.clock in BROOD_CLOCKS:
        return BROOD_CLOCKS[row.clock](moth)
    raise TableError(f"health_events.csv, {row.event}: no clock {row.clock!r}")


def health_events(
    orchard: Orchard,
    diseases: dict[str, InfectionWeather],
    moth: CodlingMothYears,
    insects: tuple[FruitInsect, ...],
    unsure: Collection[str] = (),
) -> tuple[HealthEvent, ...]:
    """The events of a site in the order of the year; of diseases only those that press there (not `low`).

    unsure: insects of which nobody can say whether they live there; their events are told as uncertain.
    """
    met = {insect.insect for insect in insects} | set(unsure) | set(OTHER_PESTS)
    met |= {disease for disease, weather in diseases.items() if weather.pressure_class != "low"}
    events = []
    for row in EVENTS:
        if row.against in met:
            day = _day(row, orchard, moth)
            later = day + np.float32(row.days_after) if row.days_after else day
            size = float(moth.share[BROOD_OF[row.clock]].mean()) if row.clock in BROOD_OF else None
            events.append(HealthEvent(row.event, row.against, later, size, certain=row.against not in unsure))
    come = [event for event in events if event.years_in_ten >= FIGURES.least_years_in_ten]
    return tuple(sorted(come, key=lambda event: event.middle))
