"""Running totals over a season (chill, heat, ripening) and the day on which each reaches a level, for many at once.

A *curve* is an array (seasons, days): a total that never falls, counted from the first day of the season. Asking it
"on which day is this level reached" for every cultivar in every season is the hot question of the program, so each
curve carries its inverse, tabulated on even steps of the level and read by linear interpolation.
"""

from dataclasses import dataclass

import numpy as np

from domain.common.arrays import UNREACHED, Floats
from domain.common.season_days import SEASON_DAYS

LAST_DAY = np.float32(SEASON_DAYS)


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
        # The tiny ramp makes a level on a plateau mean the first day on which it is reached.
        for season, total in enumerate(by_day + 1e-7 * days):
            table[season] = np.interp(levels, total, days, right=float(UNREACHED))
        return cls(by_day, table, level_step)

    @property
    def seasons(self) -> int:
        """Number of seasons."""
        return int(self.by_day.shape[0])

    def day_reached(self, level: Floats) -> Floats:
        """Season day on which each level (..., seasons) is reached; UNREACHED where the season does not."""
        width = self.day_of_level.shape[1]
        position = np.multiply(level, np.float32(1.0 / self.level_step), dtype=np.float32)
        np.clip(position, np.float32(0.0), np.float32(width - 1.001), out=position)
        low, high, share = _between(self.day_of_level, position)
        high -= low
        high *= share
        high += low
        # A level past the season has a neighbour that is unreached: the day between the two means nothing.
        np.copyto(high, UNREACHED, where=high > LAST_DAY)
        return high

    def total_at(self, day: Floats) -> Floats:
        """Total at each day (..., seasons), between days by linear interpolation, held at both ends."""
        width = self.by_day.shape[1]
        low, high, share = _between(self.by_day, np.clip(day, 0.0, width - 1.001, dtype=np.float32))
        high -= low
        high *= share
        high += low
        return high


@dataclass(frozen=True)
class PlainCurve:
    """A running total (seasons, days) without its tabulated inverse: for few questions it costs less."""

    by_day: Floats

    @property
    def seasons(self) -> int:
        """Number of seasons."""
        return int(self.by_day.shape[0])

    def day_reached(self, level: Floats) -> Floats:
        """As `Curve.day_reached`, by looking through the days of every season."""
        width = self.by_day.shape[1]
        after = np.stack([(self.by_day < row[:, None]).sum(axis=1) for row in level.reshape(-1, self.seasons)])
        season = np.arange(self.seasons)
        low = self.by_day[season, np.maximum(after - 1, 0)]
        high = self.by_day[season, np.minimum(after, width - 1)]
        share = (level.reshape(after.shape) - low) / np.maximum(high - low, np.float32(1e-6))
        day = np.where(after > 0, after - 1 + np.clip(share, 0.0, 1.0), 0.0).astype(np.float32)
        return np.where(after >= width, UNREACHED, day).reshape(level.shape)

    def total_at(self, day: Floats) -> Floats:
        """As `Curve.total_at`."""
        width = self.by_day.shape[1]
        low, high, share = _between(self.by_day, np.clip(day, 0.0, width - 1.001, dtype=np.float32))
        return low + share * (high - low)


def _between(table: Floats, position: Floats) -> tuple[Floats, Floats, Floats]:
    """Entries of a table (seasons, width) below and above each position (..., seasons), and the share between them."""
    seasons, width = table.shape
    below = np.trunc(position)
    index = below.astype(np.intp)
    index += np.arange(seasons, dtype=np.intp) * width
    flat = table.ravel()
    # Every place lies within the table: nothing has to be checked again.
    return flat.take(index, mode="clip"), flat[1:].take(index, mode="clip"), np.subtract(position, below, out=below)
