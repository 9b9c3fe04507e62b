"""Work by hand and when it falls due, reckoned from the stages of the trees and not from the month.

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
from domain.tables.parameters import figures
from domain.year_of_work.calendar_answer import Job
from domain.year_of_work.stages import StageDays

COMMON = "common practice, no source"


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


@dataclass(frozen=True)
class _Rule:
    """A job that falls due some days after a stage of the trees (before it, if negative)."""

    job: str
    after: str
    from_days: float
    to_days: float
    words: str
    basis: str = COMMON


def _rules() -> tuple[_Rule, ...]:
    """The jobs that follow a stage of the trees."""
    return (
        _Rule(
            "cut_scions", "green_tip", FIGURES.cut_scions_from_days, FIGURES.cut_scions_to_days,
            "Cut scions of last year's shoots while buds are at rest; keep them moist and cold, and labelled.",
        ),
        _Rule(
            "winter_pruning", "green_tip", FIGURES.winter_pruning_from_days, FIGURES.winter_pruning_to_days,
            "Prune when the worst cold is over and before buds break: spur-bearing trees back to a few buds, tip "
            "bearers only by taking out whole shoots.",
        ),
        _Rule(
            "graft", "green_tip", FIGURES.graft_from_days, FIGURES.graft_to_days,
            "Graft when the bark slips; take care with the knife, and clean tools between trees.",
        ),
        _Rule(
            "thin_fruit", "full_bloom", FIGURES.thin_fruit_from_days, FIGURES.thin_fruit_to_days,
            "Thin to one fruit in a cluster, a hand apart: the rest grow larger, and the tree blooms next year.",
            "Purdue University, hand thinning: no effect once fruit is 25 mm across",
        ),
        _Rule(
            "summer_pruning", "full_bloom", FIGURES.summer_pruning_from_days, FIGURES.summer_pruning_to_days,
            "Shorten the new side shoots of trained trees once they have stopped growing: it restrains them.",
        ),
        _Rule(
            "bud", "full_bloom", FIGURES.bud_from_days, FIGURES.bud_to_days,
            "Set buds of the year's shoots under the bark of the trunk or limb that is to bear another cultivar.",
        ),
    )  # fmt: skip


def work(cultivars: Sequence[Cultivar], stages: StageDays, south: bool) -> tuple[Job, ...]:
    """The jobs of all trees together and the picking of each, in the order of the season."""
    middle = {event: _middles(days) for event, days in stages.by_event.items()}
    due: list[_Due] = []
    for rule in _rules():
        days = middle[rule.after]
        if np.isfinite(days).any():
            span = (float(np.nanmin(days)) + rule.from_days, float(np.nanmax(days)) + rule.to_days)
            due.append(_Due(rule.job, span, rule.words, rule.basis))
    ripe = middle["first_ripe"]
    for cultivar, day in zip(cultivars, ripe.tolist(), strict=True):
        if np.isfinite(day):
            words = (
                f"Pick {cultivar.name} over two weeks as it colours and parts from the spur; taste before picking all."
            )
            due.append(_Due("pick", (day, day + FIGURES.picking_days), words, "computed", (cultivar.id,)))
    if np.isfinite(ripe).any():
        words = "Clear windfalls daily and take them off the plot."
        span = (float(np.nanmin(ripe)) - FIGURES.windfalls_before_days, float(np.nanmax(ripe)) + FIGURES.picking_days)
        due.append(_Due("clear_windfalls", span, words, COMMON))
    return tuple(job.told(south) for job in sorted(due, key=lambda job: (job.span[0], job.job, job.cultivars)))


@dataclass(frozen=True)
class _Due:
    """A job with the season days from and to which it falls due."""

    job: str
    span: tuple[float, float]
    words: str
    basis: str
    cultivars: tuple[str, ...] = ()

    def told(self, south: bool) -> Job:
        begin, finish = (month_day(day, south) for day in self.span)
        return Job(
            job=self.job, cultivars=self.cultivars, from_day=begin, to_day=finish, words=self.words, basis=self.basis
        )


def _middles(days: Floats) -> Floats:
    """Median day of each cultivar; NaN where the stage comes in fewer than half of the years."""
    come = np.isfinite(days)
    often = come.mean(axis=1) >= 0.5
    middle = np.full(len(days), np.nan)
    middle[often] = [np.median(row[here]) for row, here in zip(days[often], come[often], strict=True)]
    return middle
