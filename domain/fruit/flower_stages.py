"""Stages of the flower bud: BBCH code, the heat it has had, and the temperatures that kill a tenth and nine tenths.

The temperatures are the published rows of rules/critical_bud_temperatures.csv: half an hour of them, by stage. The
services that print them agree; where they do not, the mean is read.
"""

import msgspec

from domain.fruit.reading import Grounds, table
from domain.tables.loading import TABLES, TableError, rows


class FlowerStage(Grounds, frozen=True, kw_only=True):
    """A stage. heat_share: share of the heat from release to full bloom already had. kill_*_c: bud temperatures, C."""

    stage: str
    bbch: int
    heat_share: float
    kill_10_c: float
    kill_90_c: float


class _StageRow(Grounds, frozen=True, kw_only=True):
    stage: str
    bbch: int
    heat_share: float


class _Printed(msgspec.Struct, frozen=True, kw_only=True):
    """A row of rules/critical_bud_temperatures.csv."""

    stage: str
    meaning: str
    temp_c: float
    source_id: str


KILLED = {10: "10 percent of buds killed after 30 minutes", 90: "90 percent of buds killed after 30 minutes"}


def _flower_stages() -> tuple[FlowerStage, ...]:
    path = TABLES / "rules" / "critical_bud_temperatures.csv"
    printed = rows(path, _Printed)

    def killed(stage: str, percent: int) -> float:
        said = [row.temp_c for row in printed if row.stage == stage and row.meaning == KILLED[percent]]
        if not said:
            raise TableError(f"{path.name}: no row for {stage}, {KILLED[percent]}")
        return said[0] if len(set(said)) == 1 else sum(said) / len(said)

    return tuple(
        FlowerStage(**msgspec.structs.asdict(row), kill_10_c=killed(row.stage, 10), kill_90_c=killed(row.stage, 90))
        for row in table("flower_stages", _StageRow)
    )


FLOWER_STAGES = _flower_stages()
"""The stages in the order of the year."""
