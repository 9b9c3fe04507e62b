"""Work by hand and when it falls due: one table of jobs, counted from the stages of the trees and not from the month.

Cultivars that bloom together are told together; those weeks apart have windows of their own, and no window touches a
stage that it must not. What falls due depends on the place (cold winters, hot summers, frost in bloom, what presses).
"""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import msgspec
import numpy as np

from domain.common.arrays import Floats, row_percentiles
from domain.common.cautions import CautionCode
from domain.common.season_days import SEASON_DAYS, day_of_year, month_day
from domain.fruit.bearing import bears_on_tips, is_columnar
from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.regions import lives_at
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.site_fit import SiteFit
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say
from domain.tree_year.leaf_fall import leaf_fall
from domain.tree_year.leaf_stripping import StrippingCycle
from domain.year_of_work.calendar_answer import Job, JobBasis
from domain.year_of_work.jobs_table import (
    BY_HABIT,
    CHECK_STORE,
    JOBS,
    PICK,
    PLANT,
    RAINS,
    REGION,
    REGIONS_OF_JOBS,
    STORE,
    STRIPPED,
    ForTrees,
    JobRow,
)
from domain.year_of_work.stages import StageDays
from domain.year_of_work.trees_told import TreesTold

YEAR_DAYS, WEEK_DAYS = 365.0, 7.0
ROTS = tuple(f"disease:{disease}" for disease, row in DISEASE_BY_ID.items() if row.makes_mummies)
PICK_CAUTIONS: tuple[CautionCode, ...] = ("ladders", "allergy")
"""Of picking, which says to taste."""

LONGEST_DAY = "longest_day"
"""The clock of what day length alone decides."""
SOLSTICE_DAYS = 10.0
"""Days from the longest day to the middle of the year from which seasons count."""


class WorkFigures(msgspec.Struct, frozen=True):
    """From where on a place asks for a job, and which cultivars are told together."""

    picking_days: float
    cold_winter_c: float
    frosty_winter_c: float
    hot_days: float
    dry_season_days: float
    frost_share: float
    pressing: float
    insect_share: float
    together_days: float
    keeper_weeks: float
    stored_weeks: float
    stored_within_days: float
    checked_after_days: float
    frost_near_days: float


FIGURES = figures("year_of_work", "work", WorkFigures)


@dataclass(frozen=True)
class Place:
    """What of a place asks for work: codes of the column `when` that hold there, and when leaves and season end.

    leaf_fall, season_end: season days; season_end is infinite where no cold ends it in most years.
    """

    holds: frozenset[str]
    leaf_fall: float
    south: bool
    season_end: float = np.inf


def place_of_work(conditions: SiteConditions, fit: SiteFit) -> Place:
    """The place as the table of jobs asks of it."""
    holds = {"any"}
    cold = conditions.summer.winter_minimum_c < FIGURES.cold_winter_c
    holds.add("cold_winter" if cold else "mild_winter")
    if conditions.summer.winter_minimum_c < FIGURES.frosty_winter_c:
        holds.add("frosty_winter")
    years = conditions.years
    hot = conditions.very_hot_days >= FIGURES.hot_days
    if hot:
        holds.add("hot_summer")
    dry = hot or years.rain_days_growing_season < FIGURES.dry_season_days
    holds.add("dry_summer" if dry else "moist_summer")
    if float(fit.factor("frost_at_bloom").likely.min()) < 1.0 - FIGURES.frost_share:
        holds.add("frost_at_bloom")
    pressing = {f"disease:{name}" for name, share in conditions.pressure.items() if share >= FIGURES.pressing}
    insects = {f"insect:{one.insect}" for one in conditions.insects if one.pressure >= FIGURES.insect_share}
    holds |= pressing | insects | ({"insect"} if insects else set())
    if pressing.intersection(ROTS):
        holds.add("rots")
    holds |= {when for when in REGIONS_OF_JOBS if lives_at(when.removeprefix(REGION), years.latitude, years.longitude)}
    end = float(np.median(conditions.clock.last_ripening_day))
    season_end = np.inf if end >= SEASON_DAYS - 1 else end
    return Place(frozenset(holds), leaf_fall(conditions.mean_by_day_c), fit.south, season_end)


def work(
    cultivars: Sequence[Cultivar],
    stages: StageDays,
    place: Place,
    storage_weeks: Floats | None = None,
    told: TreesTold | None = None,
) -> tuple[Job, ...]:
    """The jobs of every group of cultivars that bloom together and the picking of each, in the order of the season.

    storage_weeks: (cultivars, 2), to tell keepers; None where that does not matter. told: the ages and forms of the
    trees, where they are known.
    """
    trees = told or TreesTold(tuple(one.id for one in cultivars))
    middle: dict[str, Floats] = {event: _middles(days) for event, days in stages.by_event.items()}
    middle["leaf_fall"] = np.full(len(cultivars), place.leaf_fall)
    middle[LONGEST_DAY] = np.full(len(cultivars), YEAR_DAYS - SOLSTICE_DAYS)
    clocks = {row.clock for row in JOBS} | {"first_ripe"}
    apart: dict[str, Floats] = {event: _years_apart(days) for event, days in stages.by_event.items() if event in clocks}
    groups = bloom_groups(middle["full_bloom"])
    of_group: dict[tuple[str, tuple[int, ...]], tuple[int, int] | None] = {}

    def years_apart(clock: str, rows: Sequence[int]) -> tuple[int, int] | None:
        """Of most jobs the same clock of the same trees."""
        alike = clock, tuple(rows)
        if alike not in of_group:
            of_group[alike] = _mean_apart(apart[clock][rows])
        return of_group[alike]

    due = []
    for row in JOBS:
        if row.when not in place.holds or not any(trees.wants(one.id, row) for one in cultivars):
            continue
        if row.clock in ("leaf_fall", LONGEST_DAY):
            span = _span(row, middle, slice(None))
            due += [] if span is None else [_due(row, span, ())]
            continue
        for group in groups:
            wanted = [n for n in group if trees.wants(cultivars[n].id, row)]
            for habit, those in _by_habit(row, wanted, cultivars):
                span = _span(row, middle, those)
                if span is None:
                    continue
                whole = len(groups) == 1 and len(those) == len(cultivars)
                ids = () if whole else tuple(cultivars[n].id for n in those)
                due.append(
                    _due(
                        row, span, ids, _said(row, habit, [cultivars[n] for n in those]), years_apart(row.clock, those)
                    )
                )
    bearing = [n for n, one in enumerate(cultivars) if trees.bears(one.id)]
    ripe, years = middle["first_ripe"], apart["first_ripe"]
    due += _picking(cultivars, bearing, ripe, years, storage_weeks=storage_weeks, season_end=place.season_end)
    return tuple(one.told(place.south) for one in sorted(due, key=lambda one: (one.span[0], one.job, one.cultivars)))


def stripped_work(
    cultivars: Sequence[Cultivar], cycles: Sequence[StrippingCycle], rains_begin: float
) -> tuple[Job, ...]:
    """The jobs of trees whose leaves are stripped by hand, cycle by cycle: a clock of their own, without a winter.

    rains_begin: day of the year from which young trees are planted and cared for, once a year.
    """
    ids = tuple(one.id for one in cultivars)
    due = [
        _due(row, (rains_begin + row.from_days, rains_begin + row.to_days), ids, _said_at_the_rains(row))
        for row in JOBS
        if row.when == STRIPPED and row.clock == RAINS and row.to_days is not None
    ]
    for cycle in cycles:
        stripped, bloom = float(day_of_year(cycle.stripped_on) - 1), float(day_of_year(cycle.bloom.from_day) - 1)
        ripe, last = (float(day_of_year(day) - 1) for day in (cycle.picking.from_day, cycle.picking.to_day))
        days = {"stripping": stripped, "full_bloom": bloom + YEAR_DAYS * (bloom < stripped), "first_ripe": ripe}
        for row in JOBS:
            if row.when == STRIPPED and row.clock != RAINS and row.to_days is not None:
                due.append(_due(row, (days[row.clock] + row.from_days, days[row.clock] + row.to_days), ids))
        last += YEAR_DAYS * (last < ripe)
        for one in cultivars:
            said = say("job_pick", cultivar=one.name, id=one.id, days=last - ripe)
            due.append(
                _Due(PICK, "bearing", (ripe, last), said, "published", cautions=PICK_CAUTIONS, cultivars=(one.id,))
            )
            due += _storing(one, (ripe, last), *_published_weeks(one))
    return tuple(one.told(True) for one in sorted(due, key=lambda one: (one.span[0], one.job, one.cultivars)))


def _said_at_the_rains(row: JobRow) -> Sentence:
    """The sentence of a job that the rains begin: trees are planted into wet ground, and not at rest."""
    return say("job_plant_at_the_rains" if row.job == PLANT else f"job_{row.job}")


PARTLY_ON_TIPS = "partial_tip"
Habit = Literal["", "_spur", "_partial", "_tip", "_columnar"]


def _by_habit(row: JobRow, group: list[int], cultivars: Sequence[Cultivar]) -> list[tuple[Habit, list[int]]]:
    """The cultivars of a group that are told together: all, or for pruning by where they bear and how they grow."""
    if row.job != BY_HABIT:
        return [("", group)] if group else []
    found: dict[Habit, list[int]] = {}
    for n in group:
        found.setdefault(_habit(cultivars[n]), []).append(n)
    return sorted(found.items())


def _habit(cultivar: Cultivar) -> Habit:
    bearing = cultivar.findings.get("fruiting_habit")
    if is_columnar(cultivar):
        return "_columnar"
    if bearing is None:
        return ""
    if not bears_on_tips(bearing.value):
        return "_spur"
    return "_partial" if bearing.value == PARTLY_ON_TIPS else "_tip"


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
    sources: tuple[str, ...] = ()
    cautions: tuple[CautionCode, ...] = ()
    cultivars: tuple[str, ...] = ()
    years_apart: tuple[int, int] | None = None

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
            cautions=self.cautions,
            days_earlier_one_year_in_ten=None if self.years_apart is None else self.years_apart[0],
            days_later_one_year_in_ten=None if self.years_apart is None else self.years_apart[1],
        )


def _due(
    row: JobRow,
    span: tuple[float, float],
    ids: tuple[str, ...],
    said: Sentence | None = None,
    years: tuple[int, int] | None = None,
) -> _Due:
    basis: JobBasis = row.basis or "common-practice"
    said = said or say(f"job_{row.job}")
    return _Due(row.job, row.for_trees, span, said, basis, row.sources, row.cautions, ids, years)


def _said(row: JobRow, habit: Habit, cultivars: Sequence[Cultivar]) -> Sentence:
    """The sentence of a job; of pruning by how these cultivars bear and grow."""
    return (
        say(f"job_{row.job}{habit}", cultivars=tuple(one.name for one in cultivars)) if habit else say(f"job_{row.job}")
    )


def _mean_apart(apart: Floats) -> tuple[int, int] | None:
    """Days earlier and later in one year of ten, the mean of cultivars (cultivars, 2); None where none is known."""
    if not np.isfinite(apart).any():
        return None
    earlier, later = np.nanmean(apart, axis=0)
    return round(float(earlier)), round(float(later))


def _span(row: JobRow, middle: Mapping[str, Floats], group: "list[int] | slice") -> tuple[float, float] | None:
    """Season days of a job of a group; None where its stage does not come, or nothing is left of its window."""
    clock = middle[row.clock][group]
    if not np.isfinite(clock).any():
        return None
    begin = float(np.nanmin(clock)) + row.from_days
    if row.starts_after is not None:
        begin = max(begin, float(np.nanmax(middle[row.starts_after][group])))
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


def _picking(
    cultivars: Sequence[Cultivar],
    bearing: Sequence[int],
    ripe: Floats,
    apart: Floats,
    *,
    storage_weeks: Floats | None,
    season_end: float,
) -> list[_Due]:
    """Picking of each cultivar that bears, and of those that keep the store and its care."""
    found = []
    for row in bearing:
        cultivar, day = cultivars[row], float(ripe[row])
        if not np.isfinite(day):
            continue
        low, high = (np.nan, np.nan) if storage_weeks is None else (float(week) for week in storage_weeks[row])
        days = _picking_days(cultivar)
        years = _mean_apart(apart[[row]])
        frost_near = day + days > season_end - FIGURES.frost_near_days
        said = say(_how_to_pick(cultivar, low, frost_near), cultivar=cultivar.name, id=cultivar.id, days=days)
        ids = (cultivar.id,)
        found.append(_Due(PICK, "bearing", (day, day + days), said, "computed", (), PICK_CAUTIONS, ids, years))
        found += _storing(cultivar, (day, day + days), low, high, years)
    return found


def _storing(
    cultivar: Cultivar, picked: tuple[float, float], low: float, high: float, years: tuple[int, int] | None = None
) -> list[_Due]:
    """The store and its care of a cultivar that keeps low to high weeks; picked: season days of its picking."""
    if not low >= FIGURES.stored_weeks:  # nor where nobody tells it
        return []
    ids, (first, last) = (cultivar.id,), picked
    stored = say("job_store", cultivar=cultivar.name, id=cultivar.id, weeks=low)
    checked = say("job_check_store", cultivar=cultivar.name, id=cultivar.id)
    kept = (last + FIGURES.checked_after_days, last + WEEK_DAYS * max(low, high))
    into = (first, last + FIGURES.stored_within_days)
    return [
        _Due(STORE, "bearing", into, stored, "computed", (), (), ids, years),
        _Due(CHECK_STORE, "bearing", kept, checked, "computed", (), (), ids, years),
    ]


def _published_weeks(cultivar: Cultivar) -> tuple[float, float]:
    """Weeks that a cultivar keeps, at least and at most, as published; NaN where nobody tells it."""
    numbers = cultivar.numbers
    low = numbers["storage_weeks_low"].value if "storage_weeks_low" in numbers else np.nan
    return low, numbers["storage_weeks_high"].value if "storage_weeks_high" in numbers else low


def _picking_days(cultivar: Cultivar) -> float:
    """Days from the first picking of a cultivar to its last."""
    published = cultivar.numbers.get("picking_days")
    return published.value if published else FIGURES.picking_days


def _how_to_pick(cultivar: Cultivar, weeks: float, frost_near: bool) -> str:
    """What shows that it is ripe: colour, or where it stays green the paling of its skin; keepers ripen in store.

    frost_near: whether hard frost may come before the last of it is picked.
    """
    uses, skin = cultivar.findings.get("uses"), cultivar.findings.get("skin")
    words = frozenset(uses.value.split()) if uses is not None else frozenset()
    if "cider" in words and not words & {"dessert", "cooking"}:
        return "job_pick_cider"
    if skin is not None and skin.value == "green":
        return "job_pick_green"
    if "cooking" in words and "dessert" not in words:
        return "job_pick_cooking"
    if weeks >= FIGURES.keeper_weeks:
        return "job_pick_keeper_frost" if frost_near else "job_pick_keeper"
    return "job_pick"


def _middles(days: Floats) -> Floats:
    """Median day of each cultivar; NaN where the stage comes in fewer than half of the years."""
    come = np.isfinite(days)
    often = come.mean(axis=1) >= 0.5
    middle = np.full(len(days), np.nan)
    middle[often] = [np.median(row[here]) for row, here in zip(days[often], come[often], strict=True)]
    return middle


def _years_apart(days: Floats) -> Floats:
    """Days (cultivars, 2) that a stage comes before its median in the earliest year of ten, and after in the latest."""
    early, middle, late = row_percentiles(days, (10.0, 50.0, 90.0)).T
    return np.stack([middle - early, late - middle], axis=1)
