"""Which way rows run on a slope: along the contour where they would else fall too steeply.

The United States Department of Agriculture's standard for orchards on the contour lets a row fall by no more than half
of what the ground falls, and never by more than 10 % with grass between the rows. Ground that falls by more than those
10 % is planted along the contour here, whatever light or number of trees another direction would give; gentler ground
is left to light and number, by our own judgement. Where banks part the ground into terraces, which lie level along
themselves, rows follow the longest of them; one that runs down the hill more than across it parts no terraces.
"""

import math
from collections.abc import Sequence

import msgspec
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from domain.site_climate.site import Slope
from domain.tables.parameters import figures


class ContourFigures(msgspec.Struct, frozen=True):
    """See parameters/ground.csv, subject contour."""

    most_row_fall: float
    most_share_of_fall: float
    bank_length_ratio: float
    most_bank_turn_deg: float


FIGURES = figures("ground", "contour", ContourFigures)


def contour_deg(slope: Slope | None) -> float | None:
    """The bearing (0 to 180 degrees) of rows along the contour, where the slope asks for them; else None."""
    if slope is None or slope.fall <= FIGURES.most_row_fall:
        return None
    return (slope.faces_deg + 90.0) % 180.0


def terrace_deg(slope: Slope | None, banks: Sequence[BaseGeometry]) -> float | None:
    """The bearing (0 to 180 degrees) of rows on a slope as `contour_deg` has it, or along its terraces where banks part
    them: of the longest bank that is long for its width and runs across the slope more than down it. banks: their
    shapes (m east and north).
    """
    contour = contour_deg(slope)
    if contour is None:
        return None
    best, bearing = 0.0, contour
    for bank in banks:
        corners = shapely.get_coordinates(bank.minimum_rotated_rectangle)
        sides = np.diff(corners[:3], axis=0) if len(corners) >= 3 else corners[-1:] - corners[:1]
        lengths = np.hypot(*sides.T)
        longest = int(lengths.argmax())
        along = math.degrees(math.atan2(sides[longest][0], sides[longest][1])) % 180.0
        if _turn_deg(along, contour) > FIGURES.most_bank_turn_deg:
            continue
        if lengths[longest] > max(best, FIGURES.bank_length_ratio * float(lengths.min() if len(lengths) > 1 else 0.0)):
            best, bearing = float(lengths[longest]), along
    return bearing


def along_terraces(slope: Slope | None, bearing_deg: float) -> bool:
    """Whether rows of a bearing follow terraces, and not the contour of the slope as it is told."""
    contour = contour_deg(slope)
    return contour is not None and _turn_deg(bearing_deg, contour) > 1.0


def _turn_deg(bearing_deg: float, contour: float) -> float:
    """By how much a bearing is turned from the contour (0 to 90 degrees), to a millionth."""
    return round(abs((bearing_deg - contour + 90.0) % 180.0 - 90.0), 6)


def row_fall(slope: Slope, bearing_deg: float) -> float:
    """How far rows of a bearing fall along their length, as a share of it."""
    return slope.fall * abs(math.cos(math.radians(bearing_deg - slope.faces_deg)))


def too_steep(slope: Slope | None, bearing_deg: float) -> bool:
    """Whether rows of a bearing fall by more than rows may, on ground that asks for the contour."""
    if slope is None or contour_deg(slope) is None:
        return False
    return row_fall(slope, bearing_deg) > min(FIGURES.most_row_fall, FIGURES.most_share_of_fall * slope.fall)
