"""The work on a trunk of several cultivars: the jobs of the year where a site is told, else the usual months."""

from collections.abc import Callable, Sequence

import msgspec

from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say
from domain.trunks.trunk_answer import TrunkJob, WorkStep
from domain.year_of_work.calendar_answer import Job
from domain.year_of_work.jobs_table import JobCode


class TrunkWorkFigures(msgspec.Struct, frozen=True):
    """The usual months of each step, in the north."""

    cut_scions_months: tuple[int, ...]
    graft_months: tuple[int, ...]
    bud_month: int
    mark_month: int
    prune_for_balance_months: tuple[int, ...]


FIGURES = figures("trunks", "trunk_work", TrunkWorkFigures)

JobsOf = Callable[[Sequence[Cultivar]], tuple[Job, ...]]
"""The jobs that some cultivars bring at the site told."""

STEPS: dict[TrunkJob, JobCode] = {
    "cut_scions": "cut_scions",
    "graft": "graft",
    "bud": "bud",
    "mark": "graft",
    "prune_for_balance": "summer_pruning",
}
"""The steps in their order, and the job of the year with which each falls due."""


def usual_months() -> dict[TrunkJob, tuple[int, ...]]:
    """The usual months (1 January to 12 December) of each step, in the north."""
    return {
        "cut_scions": FIGURES.cut_scions_months,
        "graft": FIGURES.graft_months,
        "bud": (FIGURES.bud_month,),
        "mark": (FIGURES.mark_month,),
        "prune_for_balance": FIGURES.prune_for_balance_months,
    }


def work_steps(jobs: Sequence[Job] | None) -> tuple[WorkStep, ...]:
    """The steps with their days by these jobs; without any days where a job does not fall due, as where none blooms.

    jobs: None without a site; the steps then carry the usual months.
    """
    due = {} if jobs is None else {job.job: job for job in jobs}
    steps = []
    for step, code in STEPS.items():
        job, said = due.get(code), say(f"trunk_{step}")
        steps.append(
            WorkStep(
                step=step,
                from_day=None if job is None else job.from_day,
                to_day=None if job is None else job.to_day,
                usual_months=usual_months()[step] if jobs is None else None,
                code=said.code,
                values=said.values,
                words=said.words,
            )
        )
    return tuple(steps)


def when(jobs: JobsOf | None) -> tuple[Sentence, ...]:
    """What is said of the months where no site tells the days."""
    return (say("trunk_usual_months"),) if jobs is None else ()
