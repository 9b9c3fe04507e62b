"""The work on a trunk of several cultivars, from scion to first fruit: the jobs at a site, else the usual months.

Methods by thickness of the limb: whip and tongue up to about 1.3 cm (half an inch), cleft on limbs of 2.5 to 5 cm (one
to two inches; L. H. Bailey, The Apple-Tree, 1922), rind grafts on thicker ones.
"""

from collections.abc import Callable, Sequence

import msgspec

from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Sentence, say
from domain.trunks.trunk_answer import TrunkJob, WorkStep
from domain.year_of_work.calendar_answer import Job
from domain.year_of_work.jobs_table import JobCode


class TrunkWorkFigures(msgspec.Struct, frozen=True):
    """The usual months of each step, in the north; thickness of limbs for each graft; years to the first fruit."""

    cut_scions_months: tuple[int, ...]
    graft_months: tuple[int, ...]
    bud_month: int
    mark_month: int
    loosen_ties_months: tuple[int, ...]
    rub_out_shoots_months: tuple[int, ...]
    support_grafts_months: tuple[int, ...]
    take_fruit_off_month: int
    prune_for_balance_months: tuple[int, ...]
    check_labels_months: tuple[int, ...]
    whip_most_cm: float
    cleft_most_cm: float
    first_fruit_years: tuple[int, int]


FIGURES = figures("trunks", "trunk_work", TrunkWorkFigures)

JobsOf = Callable[[Sequence[Cultivar]], tuple[Job, ...]]
"""The jobs that some cultivars bring at the site told."""

STEPS: dict[TrunkJob, tuple[JobCode, int]] = {
    "cut_scions": ("cut_scions", 1),
    "graft": ("graft", 1),
    "mark": ("graft", 1),
    "rub_out_shoots": ("thin_fruit", 1),
    "loosen_ties": ("summer_pruning", 1),
    "bud": ("bud", 1),
    "support_grafts": ("summer_pruning", 1),
    "take_fruit_off": ("thin_fruit", 2),
    "prune_for_balance": ("summer_pruning", 2),
    "check_labels": ("winter_pruning", 2),
}
"""The steps in their order, the job of the year with which each falls due, and the year after the graft, itself 1."""


def usual_months() -> dict[TrunkJob, tuple[int, ...]]:
    """The usual months (1 January to 12 December) of each step, in the north."""
    return {
        "cut_scions": FIGURES.cut_scions_months,
        "graft": FIGURES.graft_months,
        "mark": (FIGURES.mark_month,),
        "rub_out_shoots": FIGURES.rub_out_shoots_months,
        "loosen_ties": FIGURES.loosen_ties_months,
        "bud": (FIGURES.bud_month,),
        "support_grafts": FIGURES.support_grafts_months,
        "take_fruit_off": (FIGURES.take_fruit_off_month,),
        "prune_for_balance": FIGURES.prune_for_balance_months,
        "check_labels": FIGURES.check_labels_months,
    }


def work_steps(jobs: Sequence[Job] | None) -> tuple[WorkStep, ...]:
    """The steps with their days by these jobs; without any days where a job does not fall due, as where none blooms.

    jobs: None without a site; the steps then carry the usual months.
    """
    due = {} if jobs is None else {job.job: job for job in jobs}
    steps = []
    for step, (code, year) in STEPS.items():
        job, said = due.get(code), say(f"trunk_{step}")
        steps.append(
            WorkStep(
                step=step,
                year=year,
                from_day=None if job is None else job.from_day,
                to_day=None if job is None else job.to_day,
                usual_months=usual_months()[step] if jobs is None else None,
                code=said.code,
                values=said.values,
                words=said.words,
            )
        )
    return tuple(steps)


def methods() -> tuple[Sentence, ...]:
    """How to graft by the thickness of the limb, what to leave of the old tree, and when fruit comes."""
    least, most = FIGURES.first_fruit_years
    return (
        say("trunk_method_whip", most_cm=FIGURES.whip_most_cm),
        say("trunk_method_cleft", least_cm=FIGURES.whip_most_cm, most_cm=FIGURES.cleft_most_cm),
        say("trunk_method_rind", least_cm=FIGURES.cleft_most_cm),
        say("trunk_method_nurse_limb"),
        say("trunk_method_seal"),
        say("trunk_first_fruit", least=least, most=most),
    )


def when(jobs: JobsOf | None) -> tuple[Sentence, ...]:
    """What is said of the months where no site tells the days."""
    return (say("trunk_usual_months"),) if jobs is None else ()
