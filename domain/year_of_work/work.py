"""Work by hand and when it falls due: one table of jobs, counted from the stages of the trees and not from the month.

The order of the work is common practice, no source, but for: thinning by hand acts no more on size and return bloom
once fruit is an inch across (Purdue University, hand thinning; rows of reference_tables/rules/storage_and_picking.csv),
about six weeks after bloom; apples bud in late summer while the bark slips.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.common.season_days import month_day
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures, parameters
from domain.tables.words import Sentence, say
from domain.year_of_work.calendar_answer import Job, JobBasis, JobCode
from domain.year_of_work.stages import StageCode, StageDays


class WorkFigures(msgspec.Struct, frozen=True):
    """When each job falls due, in days from a stage of the trees."""

    picking_days: float
    windfalls_before_days: float
    cut_scions_from_days: float
    cut_scions_to_days: float
    winter_pruning_from_days: float
    winter_pruning_to_days: float
    graft_from_days: float
    graft_to_days: float
    thin_fruit_from_days: float
    thin_fruit_to_days: float
    summer_pruning_from_days: float
    summer_pruning_to_days: float
    bud_from_days: float
    bud_to_days: float


FIGURES = figures("year_of_work", "work", WorkFigures)


def _spans() -> dict[JobCode, tuple[StageCode, float, float]]:
    """Stage of the trees about which each job falls due, and from and to how many days after it (negative: before)."""
    return {
        "cut_scions": ("green_tip", FIGURES.cut_scions_from_days, FIGURES.cut_scions_to_days),
        "winter_pruning": ("green_tip", FIGURES.winter_pruning_from_days, FIGURES.winter_pruning_to_days),
        "graft": ("green_tip", FIGURES.graft_from_days, FIGURES.graft_to_days),
        "thin_fruit": ("full_bloom", FIGURES.thin_fruit_from_days, FIGURES.thin_fruit_to_days),
        "summer_pruning": ("full_bloom", FIGURES.summer_pruning_from_days, FIGURES.summer_pruning_to_days),
        "bud": ("full_bloom", FIGURES.bud_from_days, FIGURES.bud_to_days),
    }


def work(cultivars: Sequence[Cultivar], stages: StageDays, south: bool) -> tuple[Job, ...]:
    """The jobs of all trees together and the picking of each, in the order of the season."""
    middle = {event: _middles(days) for event, days in stages.by_event.items()}
    due = []
    for job, (stage, begin, end) in _spans().items():
        days = middle[stage]
        if np.isfinite(days).any():
            span = (float(np.nanmin(days)) + begin, float(np.nanmax(days)) + end)
            due.append(_Due(job, span, say(f"job_{job}"), *_grounds(f"{job}_to_days")))
    ripe = middle["first_ripe"]
    picked = ripe + np.array([_picking_days(cultivar) for cultivar in cultivars])
    for cultivar, day, last in zip(cultivars, ripe.tolist(), picked.tolist(), strict=True):
        if np.isfinite(day):
            due.append(_Due("pick", (day, last), _how_to_pick(cultivar, last - day), "computed", (), (cultivar.id,)))
    if np.isfinite(ripe).any():
        span = (float(np.nanmin(ripe)) - FIGURES.windfalls_before_days, float(np.nanmax(picked)))
        said = say("job_clear_windfalls")
        due.append(_Due("clear_windfalls", span, said, *_grounds("windfalls_before_days")))
    return tuple(job.told(south) for job in sorted(due, key=lambda job: (job.span[0], job.job, job.cultivars)))


def _picking_days(cultivar: Cultivar) -> float:
    """Days from the first picking of a cultivar to its last."""
    published = cultivar.numbers.get("picking_days")
    return published.value if published else FIGURES.picking_days


def _how_to_pick(cultivar: Cultivar, days: float) -> Sentence:
    """What shows that it is ripe: colour, or where it stays green the paling of its skin."""
    skin = cultivar.findings.get("skin")
    if skin is not None and skin.value == "green":
        return say("job_pick_green", cultivar=cultivar.name, id=cultivar.id, days=days)
    return say("job_pick", cultivar=cultivar.name, id=cultivar.id, days=days)


@dataclass(frozen=True)
class _Due:
    """A job with the season days from and to which it falls due."""

    job: JobCode
    span: tuple[float, float]
    said: Sentence
    basis: JobBasis
    sources: tuple[str, ...]
    cultivars: tuple[str, ...] = ()

    def told(self, south: bool) -> Job:
        """The job with its dates."""
        begin, finish = (month_day(day, south) for day in self.span)
        return Job(
            job=self.job,
            cultivars=self.cultivars,
            from_day=begin,
            to_day=finish,
            code=self.said.code,
            values=self.said.values,
            words=self.said.words,
            basis=self.basis,
            sources=self.sources,
        )


def _grounds(figure: str) -> tuple[JobBasis, tuple[str, ...]]:
    """Basis and sources of the figure that sets a job's days."""
    row = next(one for one in parameters("year_of_work") if (one.subject, one.name) == ("work", figure))
    return row.basis, row.sources


def _middles(days: Floats) -> Floats:
    """Median day of each cultivar; NaN where the stage comes in fewer than half of the years."""
    come = np.isfinite(days)
    often = come.mean(axis=1) >= 0.5
    middle = np.full(len(days), np.nan)
    middle[often] = [np.median(row[here]) for row, here in zip(days[often], come[often], strict=True)]
    return middle
