"""How far apart trees and rows stand: the additive spacing formula and the rule of row width by tree height.

Both from R. L. Perry, J. Hull and J. M. Clements, Apple Scion/Rootstock Selection and Planning for Michigan (Michigan
State University; also Acta Horticulturae 824:313-318, 2009): the spacing in the row, in feet, is the sum of codes for
scion, rootstock, soil, irrigation and management, times a factor of the training system.
"""

from collections.abc import Sequence
from typing import Literal

import msgspec

from domain.tables.parameters import figures

FOOT_M = 0.3048

System = Literal["free_standing", "vertical_axis", "slender_spindle", "v_trellis"]


class SpacingFigures(msgspec.Struct, frozen=True):
    """Factors of the additive spacing formula, and widths of rows by the height of the trees."""

    free_standing: float
    vertical_axis: float
    slender_spindle: float
    v_trellis: float
    row_width_north_south: float
    row_width_east_west: float


FIGURES = figures("ground", "spacing", SpacingFigures)


def in_row_spacing_m(codes_ft: Sequence[float], system: System = "free_standing") -> float:
    """Spacing in the row (m) from the codes (ft) and the training system."""
    factors: dict[System, float] = {
        "free_standing": FIGURES.free_standing,
        "vertical_axis": FIGURES.vertical_axis,
        "slender_spindle": FIGURES.slender_spindle,
        "v_trellis": FIGURES.v_trellis,
    }
    return FOOT_M * sum(codes_ft) * factors[system]


def least_row_spacing_m(height_m: float, bearing_deg: float) -> float:
    """Least distance of rows (m) for light, by the height of the trees and the bearing of the rows (degrees)."""
    from_north = abs((bearing_deg + 90) % 180 - 90)
    return height_m * (FIGURES.row_width_east_west if from_north > 45 else FIGURES.row_width_north_south)
