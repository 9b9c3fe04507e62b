"""Work by hand and when it falls due: one table of jobs, counted from the stages of the trees and not from the month.

Cultivars that bloom together are told together; those weeks apart have windows of their own, and no window touches a
stage that it must not. What falls due depends on the place (cold winters, hot summers, frost in bloom, what presses).
"""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.common.season_days import month_day
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.site_fit import SiteFit
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say
from domain.year_of_work.calendar_answer import Job, JobBasis
from domain.year_of_work.jobs_table import JOBS, PICK, ForTrees, JobRow
from domain.year_of_work.stages import StageDays

YEAR_DAYS, HALF_YEAR_DAYS = 365, 182
ROTS = ("bitter_rot", "black_rot", "white_rot")


class WorkFigures(msgspec.Struct, frozen=True):
    """From where on a place asks for a job, and which cultivars are told together."""

    picking_days: float
    cold_winter_c: float
    hot_days: float
    frost_share: float
    pressing: float
    insect_share: float
    together_days: float
    leaf_fall_c: float
    leaf_fall_days: float
    keeper_weeks: float


FIGURES = figures("year_of_work", "work", WorkFigures)


@dataclass(frozen=True)
class Place:
    """What of a place asks for work: codes of the column `when` that hold there, and the day the leaves are down."""

    holds: frozenset[str]
    leaf_fall: float
    south: bool


def place_of_work(conditions: SiteConditions, fit: SiteFit) -> Place:
    """The place as the table of jobs asks of it."""
    holds = {"any"}
    cold = conditions.summer.winter_minimum_c < FIGURES.cold_winter_c
    holds.add("cold_winter" if cold else "mild_winter")
    if conditions.very_hot_days >= FIGURES.hot_days:
        holds.add("hot_summer")
    if float(fit.factor("frost_at_bloom").likely.min()) < 1.0 - FIGURES.frost_share:
        holds.add("frost_at_bloom")
    pressing = {f"disease:{name}" for name, share in conditions.pressure.items() if share >= FIGURES.pressing}
    insects = {f"insect:{one.insect}" for one in conditions.insects if one.pressure >= FIGURES.insect_share}
    holds |= pressing | insects | ({"insect"} if insects else set())
    if any(f"disease:{rot}" in pressing for rot in ROTS):
        holds.add("rots")
    return Place(frozenset(holds), leaf_fall(conditions.mean_by_day_c), fit.south)


def leaf_fall(mean_by_day_c: Floats) -> float:
    """Season day on which leaves are down: days after the mean falls below a level, or else the coldest day."""
    year = mean_by_day_c[:YEAR_DAYS]
    warmest, coldest = int(np.argmax(year[:HALF_YEAR_DAYS])), int(np.argmin(year))
    below = np.flatnonzero(year[warmest:coldest] < FIGURES.leaf_fall_c)
    return float(warmest + below[0] if below.size else coldest) + FIGURES.leaf_fall_days


def work(
    cultivars: Sequence[Cultivar], stages: StageDays, place: Place, storage_weeks: Floats | None = None
) -> tuple[Job, ...]:
    """The jobs of every group of cultivars that bloom together and the picking of each, in the order of the season.

    storage_weeks: (cultivars, 2), to tell keepers; None where that does not matter.
    """
    middle: dict[str, Floats] = {event: _middles(days) for event, days in stages.by_event.items()}
    groups = bloom_groups(middle["full_bloom"])
    due = []
    for row in JOBS:
        if row.when not in place.holds:
            continue
        if row.clock == "leaf_fall":
            span = _span(row, {"leaf_fall": np.array([place.leaf_fall]), **middle}, slice(None))
            due += [] if span is None else [_due(row, span, ())]
            continue
        for group in groups:
            span = _span(row, middle, group)
            if span is not None:
                due.append(_due(row, span, () if len(groups) == 1 else tuple(cultivars[n].id for n in group)))
    due += _picking(cultivars, middle["first_ripe"], storage_weeks)
    return tuple(one.told(place.south) for one in sorted(due, key=lambda one: (one.span[0], one.job, one.cultivars)))


def bloom_groups(full_bloom: Floats) -> list[list[int]]:
    """Rows of cultivars whose full bloom follows within a few days of each other; those that never bloom are left."""
    order = [int(row) for row in np.argsort(full_bloom, kind="stable") if np.isfinite(full_bloom[row])]
    groups: list[list[int]] = [order[:1]] if order else []
    for before, row in itertools.pairwise(order):
        if full_bloom[row] - full_bloom[before] > FIGURES.together_days:
            groups.append([])
        groups[-1].append(row)
    return [sorted(group) for group in groups]


@dataclass(frozen=True)
class _Due:
    """A job with the season days from and to which it falls due."""

    job: str
    for_trees: ForTrees
    span: tuple[float, float]
    said: Sentence
    basis: JobBasis
    sources: tuple[str, ...]
    cultivars: tuple[str, ...] = ()

    def told(self, south: bool) -> Job:
        """The job with its dates."""
        begin, finish = (month_day(day % 365.0 if day < 0 else day, south) for day in self.span)
        return Job(
            job=self.job,
            for_trees=self.for_trees,
            cultivars=self.cultivars,
            from_day=begin,
            to_day=finish,
            code=self.said.code,
            values=self.said.values,
            words=self.said.words,
            basis=self.basis,
            sources=self.sources,
        )


def _due(row: JobRow, span: tuple[float, float], ids: tuple[str, ...]) -> _Due:
    basis: JobBasis = row.basis or "common-practice"
    return _Due(row.job, row.for_trees, span, say(f"job_{row.job}"), basis, row.sources, ids)


def _span(row: JobRow, middle: Mapping[str, Floats], group: "list[int] | slice") -> tuple[float, float] | None:
    """Season days of a job of a group; None where its stage does not come, or nothing is left of its window."""
    clock = middle[row.clock] if row.clock == "leaf_fall" else middle[row.clock][group]
    if not np.isfinite(clock).any():
        return None
    begin = float(np.nanmin(clock)) + row.from_days
    if row.to_days is not None:
        end = float(np.nanmax(clock)) + row.to_days
    else:
        until = middle[row.ends_before or "petal_fall"][group]
        if not np.isfinite(until).any():
            return None
        end = float(np.nanmin(until) if row.ends_before else np.nanmax(until))
        end += 365.0 if end < begin else 0.0
    if row.ends_before is not None and row.to_days is not None:
        before = middle[row.ends_before][group]
        if np.isfinite(before).any():
            end = min(end, float(np.nanmin(before)) - 1.0)
    return (begin, end) if end > begin else None


def _picking(cultivars: Sequence[Cultivar], ripe: Floats, storage_weeks: Floats | None) -> list[_Due]:
    found = []
    for row, (cultivar, day) in enumerate(zip(cultivars, ripe.tolist(), strict=True)):
        if np.isfinite(day):
            weeks = np.nan if storage_weeks is None else float(storage_weeks[row, 0])
            days = _picking_days(cultivar)
            said = say(_how_to_pick(cultivar, weeks), cultivar=cultivar.name, id=cultivar.id, days=days)
            found.append(_Due(PICK, "bearing", (day, day + days), said, "computed", (), (cultivar.id,)))
    return found


def _picking_days(cultivar: Cultivar) -> float:
    """Days from the first picking of a cultivar to its last."""
    published = cultivar.numbers.get("picking_days")
    return published.value if published else FIGURES.picking_days


def _how_to_pick(cultivar: Cultivar, weeks: float) -> str:
    """What shows that it is ripe: colour, or where it stays green the paling of its skin; keepers ripen in store."""
    uses, skin = cultivar.findings.get("uses"), cultivar.findings.get("skin")
    words = frozenset(uses.value.split()) if uses is not None else frozenset()
    if "cider" in words and not words & {"dessert", "cooking"}:
        return "job_pick_cider"
    if skin is not None and skin.value == "green":
        return "job_pick_green"
    if "cooking" in words and "dessert" not in words:
        return "job_pick_cooking"
    return "job_pick_keeper" if weeks >= FIGURES.keeper_weeks else "job_pick"


def _middles(days: Floats) -> Floats:
    """Median day of each cultivar; NaN where the stage comes in fewer than half of the years."""
    come = np.isfinite(days)
    often = come.mean(axis=1) >= 0.5
    middle = np.full(len(days), np.nan)
    middle[often] = [np.median(row[here]) for row, here in zip(days[often], come[often], strict=True)]
    return middle
