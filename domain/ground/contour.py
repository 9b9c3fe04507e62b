"""Which way rows run on a slope: along the contour where they would else fall too steeply.

The United States Department of Agriculture's standard for orchards on the contour lets a row fall by no more than half
of what the ground falls, and never by more than 10 % with grass between the rows. So ground that falls by more than
that is planted along the contour, whatever light or number of trees another direction would give.
"""

import math

import msgspec

from domain.site_climate.site import Slope
from domain.tables.parameters import figures


class ContourFigures(msgspec.Struct, frozen=True):
    """See parameters/ground.csv, subject contour."""

    most_row_fall: float


FIGURES = figures("ground", "contour", ContourFigures)


def fall_of(slope: Slope) -> float:
    """How far the ground falls on its way down, as a share of the level distance."""
    return math.tan(math.radians(slope.steepness_deg))


def contour_deg(slope: Slope | None) -> float | None:
    """The bearing (0 to 180 degrees) of rows along the contour, where the slope asks for them; else None."""
    if slope is None or fall_of(slope) <= FIGURES.most_row_fall:
        return None
    return (slope.faces_deg + 90.0) % 180.0


def row_fall(slope: Slope, bearing_deg: float) -> float:
    """How far rows of a bearing fall along their length, as a share of it."""
    return fall_of(slope) * abs(math.cos(math.radians(bearing_deg - slope.faces_deg)))
