"""How like a site is to the climate a cultivar was selected in.

No list of traits holds all that decides whether a cultivar does well: fruit drop in heat, restless buds in a mild
winter, leaf diseases nobody rated. A cultivar was kept because it did well where it comes from, so the likeness of the
two climates stands in for what is not known (common practice: "plant what is grown in a climate like yours").
"""

import numpy as np

from domain.tree_year.curves import Floats

WINTER_SCALE_C, SUMMER_SCALE_C = 12.0, 3.0
"""Differences of the mean yearly minimum and of the summer mean at which likeness has fallen to 0.6."""

UNKNOWN_ORIGIN = 0.5


def likeness(winter_minimum_c: float, summer_c: float, origin_winter_c: Floats, origin_summer_c: Floats) -> Floats:
    """Likeness (cultivars,) of a site to the climates of origin, 0 to 1; `UNKNOWN_ORIGIN` where that is NaN."""
    winter = (winter_minimum_c - origin_winter_c) / WINTER_SCALE_C
    summer = (summer_c - origin_summer_c) / SUMMER_SCALE_C
    alike = np.exp(-0.5 * (winter**2 + summer**2))
    found: Floats = np.where(np.isnan(alike), UNKNOWN_ORIGIN, alike).astype(np.float32)
    return found
