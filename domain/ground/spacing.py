"""How far apart rows stand, by the height of the trees.

R. L. Perry, J. Hull and J. M. Clements, Apple Scion/Rootstock Selection and Planning for Michigan (Michigan State
University; also Acta Horticulturae 824:313-318, 2009).
"""

import msgspec

from domain.tables.parameters import figures


class SpacingFigures(msgspec.Struct, frozen=True):
    """Least distance of rows as multiples of the height of the trees."""

    row_width_north_south: float
    row_width_east_west: float


FIGURES = figures("ground", "spacing", SpacingFigures)


def least_row_spacing_m(height_m: float, bearing_deg: float) -> float:
    """Least distance of rows (m) for light, by the height of the trees and the bearing of the rows (degrees)."""
    from_north = abs((bearing_deg + 90) % 180 - 90)
    return height_m * (FIGURES.row_width_east_west if from_north > 45 else FIGURES.row_width_north_south)
