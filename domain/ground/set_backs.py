"""How far a trunk stays from houses, paths, lines and other trees: published figures, each with its caution.

The figures stand in `space/set_backs.csv` with their sources. A caller's own set-back takes the place of a figure,
never of the rule that a crown stays out of what it may not hang over. Local codes and utilities decide: every figure
comes with a caution to ask them.
"""

import functools
from typing import Literal

import msgspec

from domain.common.cautions import Caution
from domain.tables.cautions import ASK_LOCALLY, BOUNDARY, DIGGING, POWER_LINE, SEPTIC_FIELD, SHRINKABLE_CLAY
from domain.tables.loading import TABLES, rows

Kind = Literal[
    "house",
    "shrinkable_clay",
    "fence",
    "path",
    "boundary",
    "buried_line",
    "power_line",
    "transformer",
    "septic_field",
    "existing_tree",
    "pond",
    "pitch",
    "well",
    "bank",
    "other",
]

SetBackCode = Literal[
    "set_back_house",
    "set_back_house_tall_tree",
    "set_back_shrinkable_clay",
    "set_back_paving_or_fence",
    "set_back_path_m_26",
    "set_back_path_mm_106",
    "set_back_boundary",
    "set_back_buried_line",
    "set_back_power_line",
    "set_back_transformer",
    "set_back_septic_field",
    "set_back_existing_tree",
    "set_back_pond",
    "set_back_pitch",
    "set_back_well",
    "set_back_bank",
    "set_back_pot",
    "set_back_other",
    "set_back_as_told",
    "set_back_crowns_meet",
]
"""What a set-back is, as a code of the words."""

CAUTIONS: dict[str, Caution | None] = {
    caution.code: caution for caution in (ASK_LOCALLY, BOUNDARY, DIGGING, POWER_LINE, SEPTIC_FIELD, SHRINKABLE_CLAY)
} | {"none": None}


class SetBackRow(msgspec.Struct, frozen=True, kw_only=True):
    """A row of space/set_backs.csv: the figure that holds for trees of a height and more."""

    kind: Kind
    rule: Literal["fixed", "share_of_height", "beyond_crown"]
    distance_m: float
    from_height_m: float
    crown_keeps_out: Literal["yes", "no"]
    of_roots: Literal["yes", "no"]
    source_id: str
    code: SetBackCode
    caution: Literal["ask_locally", "boundary", "digging", "power_line", "septic_field", "shrinkable_clay", "none"]
    locator: str = ""


class SetBack(msgspec.Struct, frozen=True, kw_only=True):
    """Least distance from the middle of a trunk to a thing, and where the figure comes from."""

    kind: Kind
    trunk_distance_m: float
    basis: Literal["published", "told", "common_practice"]
    source: str | None
    code: SetBackCode
    caution: Caution | None


@functools.cache
def _table() -> tuple[SetBackRow, ...]:
    return tuple(rows(TABLES / "space" / "set_backs.csv", SetBackRow))


def set_back(
    kind: Kind,
    spread_m: float,
    height_m: float,
    told_m: float | None = None,
    other_spread_m: float | None = None,
    *,
    in_pot: bool = False,
) -> SetBack:
    """The set-back of a trunk of a tree of this spread and height.

    told_m is the caller's own figure; other_spread_m the spread of an existing tree, whose crown then just meets ours.
    in_pot: it has no roots in the ground, so that what is kept for their sake does not bind it.
    """
    fitting = [row for row in _table() if row.kind == kind and row.from_height_m <= height_m]
    row = max(fitting, key=lambda row: row.from_height_m)
    distance = row.distance_m * (height_m if row.rule == "share_of_height" else 1.0)
    distance += spread_m / 2 if row.rule == "beyond_crown" else 0.0
    basis: Literal["published", "told", "common_practice"]
    basis = "common_practice" if row.source_id == "common-practice" else "published"
    code, source = row.code, None if basis == "common_practice" else row.source_id
    if told_m is not None:
        distance, basis, code, source = told_m, "told", "set_back_as_told", None
    elif other_spread_m is not None:
        distance, basis, code, source = (spread_m + other_spread_m) / 2, "told", "set_back_crowns_meet", None
    elif in_pot and row.of_roots == "yes":
        distance, basis, code, source = 0.0, "common_practice", "set_back_pot", None
    if row.crown_keeps_out == "yes":
        distance = max(distance, spread_m / 2)
    return SetBack(
        kind=kind, trunk_distance_m=distance, basis=basis, source=source, code=code, caution=CAUTIONS[row.caution]
    )
