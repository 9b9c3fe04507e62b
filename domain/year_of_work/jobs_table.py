"""The table of jobs: what is done by hand, where and for which trees, counted from which stage."""

from typing import TYPE_CHECKING, Literal, TypeAlias

from domain.common.cautions import CautionCode
from domain.fruit.reading import Grounds, table
from domain.tables.tree_forms import Arrangement

ForTrees = Literal["new", "young", "bearing", "any"]


class JobRow(Grounds, frozen=True, kw_only=True):
    """One job. to_days: None where it ends before a stage, or at petal fall. when: `any`, or what must hold there.

    starts_after: a stage before which it never starts, whatever its days.

    for_forms: arrangements of the forms that it is for (fence, row, pot, free_standing); none: for all.
    """

    job: str
    when: str
    for_trees: ForTrees
    clock: str
    from_days: float
    to_days: float | None = None
    starts_after: str | None = None
    ends_before: str | None = None
    cautions: tuple[CautionCode, ...] = ()
    for_forms: tuple[Arrangement, ...] = ()


JOBS = table("jobs", JobRow, ("cautions", "for_forms"))
PICK, STORE, CHECK_STORE = "pick", "store", "check_store"
BY_HABIT = "winter_pruning"
"""The job whose words differ by where a cultivar bears and how it grows."""
PLANT, RAINS = "plant", "rains"
"""The job whose words differ where it is the rains, a clock of stripped trees, that begin it."""
STRIPPED = "stripped"
"""What holds where leaves are stripped by hand, in the column `when`."""

REGION = "region:"
REGIONS_OF_JOBS = frozenset(row.when for row in JOBS if row.when.startswith(REGION))
"""What holds in boxes of the map alone, in the column `when`: region:<subject of regions.csv>."""

if TYPE_CHECKING:
    JobCode: TypeAlias = str
else:  # the closed set of the contract is what stands in the table
    JobCode = Literal[(*dict.fromkeys(row.job for row in JOBS), PICK, STORE, CHECK_STORE)]
