"""The table of jobs: what is done by hand, where and for which trees, counted from which stage."""

from typing import TYPE_CHECKING, Literal, TypeAlias

from domain.fruit.reading import Grounds, table

ForTrees = Literal["new", "young", "bearing", "any"]


class JobRow(Grounds, frozen=True, kw_only=True):
    """One job. to_days: None where it ends before a stage, or at petal fall. when: `any`, or what must hold there."""

    job: str
    when: str
    for_trees: ForTrees
    clock: str
    from_days: float
    to_days: float | None = None
    ends_before: str | None = None


JOBS = table("jobs", JobRow)
PICK = "pick"

if TYPE_CHECKING:
    JobCode: TypeAlias = str
else:  # the closed set of the contract is what stands in the table
    JobCode = Literal[(*dict.fromkeys(row.job for row in JOBS), PICK)]
