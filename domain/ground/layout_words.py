"""What holds a layout back and why it lies as it does, as codes with their values."""

from typing import Literal

from msgspec.structs import asdict

from domain.ground.set_backs import Kind
from domain.tables.words import Sentence, Value, say

LayoutLimitCode = Literal[
    "room_taken",
    "plot_too_narrow",
    "set_backs_cover_plot",
    "fence_too_short",
    "number_of_trees_asked",
    "trees_too_dark",
    "ground_too_dark",
    "part_of_large_plot",
]

LayoutReasonCode = Literal[
    "crowns_fit_without_touching",
    "rows_as_asked",
    "rows_north_to_south",
    "rows_hold_more",
    "rows_along_the_contour",
    "rows_along_terraces",
    "rows_fall_steeply",
    "passage_between_rows",
    "rows_far_enough_for_light",
    "trunks_off_the_fence",
]

RoomTaker = Literal["edge"] | Kind
"""What takes room on a plot: its edge, or a kind of thing to keep clear of."""


class LayoutLimit(Sentence, frozen=True, kw_only=True):
    """What takes the room of a layout, or the sun of its trees."""

    code: LayoutLimitCode


class LayoutReason(Sentence, frozen=True, kw_only=True):
    """Why a layout lies as it does."""

    code: LayoutReasonCode


def layout_limit(code: LayoutLimitCode, **values: Value) -> LayoutLimit:
    """A limit of a layout in words. Raises as `say` does."""
    return LayoutLimit(**asdict(say(code, **values)))


def layout_reason(code: LayoutReasonCode, **values: Value) -> LayoutReason:
    """A reason of a layout in words. Raises as `say` does."""
    return LayoutReason(**asdict(say(code, **values)))
