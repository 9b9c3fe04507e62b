"""A library of climates in which apples might be grown, with the figures that each shows under the weather generator.

Land cells of the climatology are drawn evenly over the plane of coldest and warmest month, from the edge of the tundra
to tropical highlands, and each is varied within what the tables leave open (height, valley or slope, diurnal range).
Who gives figures without a place is looked up here: hours mean other portions on a mild coast than in a warm valley,
and the library knows in which climates both the hours and the frost dates given occur together.

Months and season days run as in the north: southern cells are turned by half a year.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from domain.common.faults import ContentFaults
from domain.common.season_days import YEAR_DAYS, season_day
from domain.site_climate import predicted_figures as predicted
from domain.site_climate.climate_prior import FIGURES as PRIOR
from domain.site_climate.climate_prior import ClimatePrior
from domain.weather.climatology import place_climate
from domain.weather.diurnal_range import diurnal_range, rain_days
from domain.weather.seasons import MEASURES
from reference_tables.climate import climatology_grid, stored_regimes

Floats = NDArray[np.float64]

SIZE = 2400
YEARS = 24
SEED = 611
COLDEST_C, WARMEST_C = (-32.0, 20.5), (9.0, 35.0)
BIN_C = 2.0
YEAR_SPREAD_C = 1.5
WINTER_SPREAD_C = 1.0
RANGE_SPREAD_C = 1.4

MONTH_ENDS = (
    *(season_day(f"{month:02d}-01", south=False) for month in (8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6)),
    YEAR_DAYS,
)
"""Season day after the last of each month, July first."""


@dataclass(frozen=True)
class Regimes:
    """The library as arrays, one row a climate.

    latitude: (n,) distance from the equator. tmean_c, range_c, rain_mm: (n, 12), January first, as in the north.
    chill: (n, 4, 12) mean gain of each measure in each month, July first. last_frost, first_frost, bloom: (n,) middle
    season days. winter_minimum_c: (n,).
    """

    latitude: Floats
    tmean_c: Floats
    range_c: Floats
    rain_mm: Floats
    chill: Floats
    last_frost: Floats
    first_frost: Floats
    winter_minimum_c: Floats
    bloom: Floats


def _cells(random: np.random.Generator) -> NDArray[np.intp]:
    """Cells drawn evenly over bins of coldest and warmest month, in a random order."""
    months = climatology_grid().tmean_c
    coldest, warmest = months.min(axis=1), months.max(axis=1)
    fit = (coldest > COLDEST_C[0]) & (coldest < COLDEST_C[1]) & (warmest > WARMEST_C[0]) & (warmest < WARMEST_C[1])
    cells = np.nonzero(fit)[0]
    bins = np.floor(coldest[cells] / BIN_C) * 100.0 + np.floor(warmest[cells] / BIN_C)
    _, which, sizes = np.unique(bins, return_inverse=True, return_counts=True)
    share = 1.0 / np.sqrt(sizes[which])  # between even over the cells and even over the bins
    return random.choice(cells, size=SIZE * 2, replace=True, p=share / share.sum())


def _climates(random: np.random.Generator) -> Iterator[tuple[float, ClimatePrior]]:
    grid = climatology_grid()
    rows, columns = np.nonzero(grid.index >= 0)
    order = np.argsort(grid.index[rows, columns])
    for cell in _cells(random):
        latitude = rows[order[cell]] * 0.5 - 90.0
        longitude = columns[order[cell]] * 0.5 - 180.0
        year, winter, wide, height = random.standard_normal(4)
        elevation = float(grid.elevation_m[cell] + 0.7 * height * grid.relief_m[cell])
        try:
            place = place_climate(latitude, longitude, elevation)
        except ContentFaults:
            continue
        turn = 6 if latitude < 0 else 0
        season = np.cos(2.0 * np.pi * (np.arange(12) - 0.5) / 12.0)
        tmean = np.roll(place.tmean_c, turn) + YEAR_SPREAD_C * year + WINTER_SPREAD_C * winter * season
        spread = np.roll(diurnal_range(place, latitude), turn) + RANGE_SPREAD_C * wide
        rain = np.roll(place.cell_rain_mm, turn)
        yield (
            abs(latitude),
            ClimatePrior(
                latitude=abs(latitude),
                tmean_c=tmean,
                range_c=np.maximum(spread, PRIOR.least_range_c),
                modes=np.zeros((0, 24)),
                named=(),
                rain_mm=rain,
                rain_days=rain_days(rain, tmean),
            ),
        )


def build(size: int = SIZE) -> Regimes:
    """Simulate the library (about 0.07 s a climate); the same every time."""
    random = np.random.default_rng(SEED)
    rows: list[tuple[Floats, ...]] = []
    for latitude, climate in _climates(random):
        blocks = predicted.side_by_side([climate.weather(np.zeros(2), YEARS)])
        blocks.seasons.read(*MEASURES, "growing_degree_hours")
        cumulative = [blocks.seasons.by_day(measure) for measure in MEASURES]
        ends = np.array(MONTH_ENDS) - 1
        gains = np.array([np.diff(total.mean(axis=0)[ends], prepend=0.0) for total in cumulative])
        figures = (
            predicted.middle(predicted.last_frost(blocks, 0.0)),
            predicted.middle(predicted.first_frost(blocks, 0.0)),
            predicted.winter_minimum(blocks).mean(axis=1),
            predicted.middle(predicted.bloom(blocks)),
        )
        rain = np.zeros(12) if climate.rain_mm is None else climate.rain_mm
        rows.append((np.array(latitude), climate.tmean_c, climate.range_c, rain, gains, *(f[0] for f in figures)))
        if len(rows) == size:
            break
    columns = [np.array(column) for column in zip(*rows, strict=True)]
    return Regimes(*columns)


def chill_over(regimes: Regimes, measure: int, first: int, last: int) -> Floats:
    """Chill (n,) of one of MEASURES between two season days, by months and parts of months."""
    starts = np.array((0, *MONTH_ENDS[:-1]))
    ends = np.array(MONTH_ENDS)
    share = np.clip((np.minimum(ends, last + 1) - np.maximum(starts, first)) / (ends - starts), 0.0, 1.0)
    total: Floats = regimes.chill[:, measure] @ share
    return total


MEASURE_INDEX = {measure: index for index, measure in enumerate(MEASURES)}


@lru_cache(maxsize=1)
def library() -> Regimes:
    """The committed library."""
    return Regimes(**stored_regimes())
