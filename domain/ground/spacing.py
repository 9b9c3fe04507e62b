"""How far apart trees and rows stand: the additive spacing formula and the rule of row width by tree height.

Both from R. L. Perry, J. Hull and J. M. Clements, Apple Scion/Rootstock Selection and Planning for Michigan (Michigan
State University; also Acta Horticulturae 824:313-318, 2009): the spacing in the row, in feet, is the sum of codes for
scion, rootstock, soil, irrigation and management, times a factor of the training system.
"""

from collections.abc import Sequence
from typing import Literal

FOOT_M = 0.3048

System = Literal["free_standing", "vertical_axis", "slender_spindle", "v_trellis"]
SYSTEM_FACTORS: dict[System, float] = {
    "free_standing": 1.0,
    "vertical_axis": 0.7,
    "slender_spindle": 0.6,
    "v_trellis": 0.4,
}
ROW_WIDTH_NORTH_SOUTH = 1.3
ROW_WIDTH_EAST_WEST = 1.5
"""Least distance of rows as a multiple of the height of the trees."""


def in_row_spacing_m(codes_ft: Sequence[float], system: System = "free_standing") -> float:
    """Spacing in the row (m) from the codes (ft) and the training system."""
    return FOOT_M * sum(codes_ft) * SYSTEM_FACTORS[system]


def least_row_spacing_m(height_m: float, bearing_deg: float) -> float:
    """Least distance of rows (m) for light, by the height of the trees and the bearing of the rows (degrees)."""
    from_north = abs((bearing_deg + 90) % 180 - 90)
    return height_m * (ROW_WIDTH_EAST_WEST if from_north > 45 else ROW_WIDTH_NORTH_SOUTH)
