"""Eating quality at a site: what heat, sun and a cool autumn do to the fruit of a cultivar."""

import numpy as np

from domain.tree_year.curves import Floats

RIPENING_WINDOW_DAYS = 30
HOT_MEAN_C = 24.0
"""Mean temperature of the last month on the tree at which an ordinary cultivar has lost half of what heat can take:
colour, firmness and flavour. Common practice, no source; a cultivar known for heat bears three degrees more."""
HEAT_TOLERANCE_SPAN_C = 6.0
COOL_MEAN_C = 10.0
"""Mean of the last month below which starch hardly turns to sugar; common practice, no source."""


def _share(value: Floats, middle: Floats | float, width: float) -> Floats:
    share: Floats = (1.0 / (1.0 + np.exp(-(value - middle) / width))).astype(np.float32)
    return share


def fruit_quality(
    last_month_mean_c: Floats,
    very_hot_days: float,
    heat_tolerance: Floats,
    sunburn: Floats,
    bitter_pit: Floats,
) -> Floats:
    """Quality (cultivars,), 0 to 1.

    last_month_mean_c: (cultivars,) mean temperature of the 30 days before picking. very_hot_days: days a year above
    35 C, on which fruit in the sun burns (fruit stands up to 18 C above the air: University of California).
    """
    middle = HOT_MEAN_C + HEAT_TOLERANCE_SPAN_C * (heat_tolerance - 0.5)
    heat = _share(last_month_mean_c, middle, 1.5)
    cool = 1.0 - _share(last_month_mean_c, COOL_MEAN_C, 1.0)
    burnt = sunburn * float(np.clip(very_hot_days / 40.0, 0.0, 1.0))
    pitted = bitter_pit * 0.25 * (0.5 + 0.5 * heat)
    quality: Floats = (1.0 - 0.7 * heat) * (1.0 - 0.5 * cool) * (1.0 - 0.35 * burnt) * (1.0 - pitted)
    return quality
