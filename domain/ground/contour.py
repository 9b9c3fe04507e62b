"""Which way rows run on a slope: along the contour where they would else fall too steeply.

The United States Department of Agriculture's standard for orchards on the contour lets a row fall by no more than half
of what the ground falls, and never by more than 10 % with grass between the rows. Ground that falls by more than those
10 % is planted along the contour here, whatever light or number of trees another direction would give; gentler ground
is left to light and number, by our own judgement.
"""

import math

import msgspec

from domain.site_climate.site import Slope
from domain.tables.parameters import figures


class ContourFigures(msgspec.Struct, frozen=True):
    """See parameters/ground.csv, subject contour."""

    most_row_fall: float
    most_share_of_fall: float


FIGURES = figures("ground", "contour", ContourFigures)


def contour_deg(slope: Slope | None) -> float | None:
    """The bearing (0 to 180 degrees) of rows along the contour, where the slope asks for them; else None."""
    if slope is None or slope.fall <= FIGURES.most_row_fall:
        return None
    return (slope.faces_deg + 90.0) % 180.0


def row_fall(slope: Slope, bearing_deg: float) -> float:
    """How far rows of a bearing fall along their length, as a share of it."""
    return slope.fall * abs(math.cos(math.radians(bearing_deg - slope.faces_deg)))


def too_steep(slope: Slope | None, bearing_deg: float) -> bool:
    """Whether rows of a bearing fall by more than rows may, on ground that asks for the contour."""
    if slope is None or contour_deg(slope) is None:
        return False
    return row_fall(slope, bearing_deg) > min(FIGURES.most_row_fall, FIGURES.most_share_of_fall * slope.fall)
