"""Running totals over a season (chill, heat, ripening) and the day on which each reaches a level, for many at once.

A *curve* is an array (seasons, days): a total that never falls, counted from the first day of the season. Asking it
"on which day is this level reached" for every cultivar in every season is the hot question of the program, so each
curve carries its inverse, tabulated on even steps of the level and read by linear interpolation.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.floating]
"""Arrays of reals; single precision wherever there is a season axis."""

UNREACHED = np.float32(9999.0)
"""The season day answered for a level that the season never reaches."""


@dataclass(frozen=True)
class Curve:
    """A running total with its inverse.

    by_day: (seasons, days) total at the end of each season day. day_of_level: (seasons, levels) season day on which
    ``level_step * k`` is reached, UNREACHED beyond the season's total.
    """

    by_day: Floats
    day_of_level: Floats
    level_step: float

    @classmethod
    def of(cls, by_day: Floats, level_step: float, top: float | None = None) -> "Curve":
        """Tabulate the inverse in steps of ``level_step`` up to ``top`` (the largest total if not given)."""
        highest = float(by_day[:, -1].max()) if top is None else top
        levels = np.arange(0.0, highest + 2 * level_step, level_step)
        days = np.arange(by_day.shape[1], dtype=np.float64)
        table = np.empty((by_day.shape[0], levels.size), dtype=np.float32)
        for season, total in enumerate(by_day.astype(np.float64)):
            # The tiny ramp makes a level on a plateau mean the first day on which it is reached.
            table[season] = np.interp(levels, total + 1e-7 * days, days, right=float(UNREACHED))
        return cls(by_day, table, level_step)

    @property
    def seasons(self) -> int:
        """Number of seasons."""
        return int(self.by_day.shape[0])

    def day_reached(self, level: Floats) -> Floats:
        """Season day on which each level (..., seasons) is reached; UNREACHED where the season does not."""
        width = self.day_of_level.shape[1]
        position = np.clip(level * np.float32(1.0 / self.level_step), 0.0, width - 1.001, dtype=np.float32)
        below = position.astype(np.int32)
        index = below + np.arange(self.seasons, dtype=np.int32) * np.int32(width)
        flat = self.day_of_level.ravel()
        low, high = flat.take(index), flat.take(index + 1)
        day = low + (position - below) * (high - low)
        return np.where(high >= UNREACHED, UNREACHED, day)

    def total_at(self, day: Floats) -> Floats:
        """Total at each day (..., seasons), between days by linear interpolation, held at both ends."""
        width = self.by_day.shape[1]
        position = np.clip(day, 0.0, width - 1.001, dtype=np.float32)
        below = position.astype(np.int32)
        index = below + np.arange(self.seasons, dtype=np.int32) * np.int32(width)
        flat = self.by_day.ravel()
        low = flat.take(index)
        total: Floats = low + (position - below) * (flat.take(index + 1) - low)
        return total


def running_total(daily: npt.NDArray[np.floating]) -> Floats:
    """Sum of a daily quantity (seasons, days) from the first day of each season."""
    total: Floats = np.cumsum(daily, axis=1, dtype=np.float64).astype(np.float32)
    return total
