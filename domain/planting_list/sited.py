"""What a planting list needs to know of each cultivar at the site, from its suitability there."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from domain.cultivars import Cultivar
from domain.pollination.bloom_overlap import BloomWindows
from domain.suitability.answer import Verdict

Floats = NDArray[np.float32]


@dataclass(frozen=True)
class SitedCultivars:
    """n cultivars at one site. Season days count from midsummer; NaN is unknown."""

    cultivars: tuple[Cultivar, ...]
    crop_chance: Floats
    """(n, years) chance of a worthwhile crop, given pollen."""
    windows: BloomWindows
    harvest_first: Floats
    """(n,) season day of the median first and last picking."""
    harvest_last: Floats
    storage_weeks: Floats
    """(n, 2) weeks that the fruit keeps, low and high."""
    likely_years: Floats
    """(n,) years of ten with a worthwhile crop."""
    rank_value: Floats
    sound: Floats
    """(n,) share of sound fruit without spraying."""
    verdict: tuple[Verdict, ...]
    limiting: tuple[str, ...]
    south: bool

    @cached_property
    def row(self) -> dict[str, int]:
        """Row of each cultivar id."""
        return {cultivar.id: row for row, cultivar in enumerate(self.cultivars)}

    def name(self, row: int) -> str:
        """Denomination of a row."""
        return self.cultivars[row].name

    def has_verdict(self, *verdicts: Verdict) -> NDArray[np.bool_]:
        """(n,) whether the verdict is one of these."""
        return np.array([verdict in verdicts for verdict in self.verdict], dtype=np.bool_)
