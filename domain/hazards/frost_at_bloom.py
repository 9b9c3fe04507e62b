"""What spring frost leaves of the bloom, season by season, from green tip to four weeks after full bloom.

Critical temperatures are those that kill 10 and 90 per cent of the flower buds in 30 minutes, by stage
(domain/fruit/flower_stages.py). The stage a bud is in follows the heat still to come before full bloom; between the
stages temperatures are interpolated.
"""

from functools import lru_cache
from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.arrays import UNREACHED, Floats
from domain.common.distributions import PERCENTILE_90
from domain.common.kept import Growing
from domain.fruit.flower_stages import FLOWER_STAGES
from domain.tables.parameters import figures
from domain.tree_year.bloom import release_chill
from domain.tree_year.clock import SiteClock

FIRST_DAY, LAST_DAY, DAY_STEP = 110, 420, 2
"""Season days of full bloom that the table covers, and its step."""


class FrostFigures(msgspec.Struct, frozen=True):
    """How cold a bud gets, the nights about full bloom that count, and the flowers from which a crop still comes."""

    bud_deficit_c: float
    crown_spread_c: float
    usual_chill_need: float
    least_bloom_heat_gdh: float
    days_before: int
    days_after: int
    harmless_from_c: float
    worthwhile_flowers: float
    worthwhile_steepness: float


FIGURES = figures("hazards", "frost_at_bloom", FrostFigures)


_COLDEST_C, _STEPS_PER_C, _STAGES = -30.0, 64, 512
"""The table of kills: temperatures from the coldest on, below which no bud of any stage lives, by steps of a stage."""


@lru_cache(maxsize=1)
def _kill_table() -> Floats:
    """Share killed by a night (temperatures, 1 + _STAGES): no stage at all, then from the first stage to the last.

    A bud's temperature is so rounded by at most 0.008 C, its stage by a thousandth of all the heat.
    """
    shares = np.array([stage.heat_share for stage in FLOWER_STAGES])
    stage = shares[0] + (np.arange(_STAGES) + 0.5) / _STAGES * (shares[-1] - shares[0])
    night = _COLDEST_C + np.arange(round((FIGURES.harmless_from_c - _COLDEST_C) * _STEPS_PER_C) + 1) / _STEPS_PER_C
    ten, ninety = (
        np.interp(stage, shares, [getattr(one, limit) for one in FLOWER_STAGES]) for limit in ("kill_10_c", "kill_90_c")
    )
    killed = killed_share(night[:, None], ten, ninety, FIGURES.crown_spread_c)
    killed[-1] = 0.0  # the warmest row stands for every harmless night
    return np.pad(killed, ((0, 0), (1, 0))).astype(np.float32)


class FrostTable(Growing):
    """What spring frost leaves at a site, by season and day of full bloom; worked out for the days that are asked for.

    Days are those from FIRST_DAY on in steps of DAY_STEP. Safe to use from several threads.
    """

    def __init__(self, clock: SiteClock, tmin_c: Floats | None = None) -> None:
        """tmin_c: nightly minima (seasons, days) to take instead of the site's own, as of a spot up the slope."""
        self._clock = clock
        self._tmin_c = clock.seasons.weather.tmin_c if tmin_c is None else tmin_c
        seasons = len(self._tmin_c)
        self._known = _Known(
            np.full(seasons, _COLUMNS),
            np.zeros(seasons, dtype=np.intp),
            *(np.ones((seasons, _COLUMNS), dtype=np.float32) for _ in range(2)),
        )

    @property
    def edition(self) -> int:
        """How many days are worked out."""
        return int(np.maximum(self._known.stop - self._known.first, 0).sum())

    @property
    def held(self) -> tuple[Floats, ...]:
        """The arrays that it holds beside those of the clock."""
        return (self._tmin_c, self._known.kept, self._known.chance)

    def kept(self, full_bloom: Floats) -> Floats:
        """Share of flowers alive (cultivars, seasons), given the day of full bloom; none where there is no bloom."""
        return _read(self.work_out(full_bloom).kept, full_bloom)

    def chance(self, full_bloom: Floats) -> Floats:
        """Chance (cultivars, seasons) of a worthwhile crop, given the day of full bloom."""
        return _read(self.work_out(full_bloom).chance, full_bloom)

    def chances(self, *full_bloom: Floats) -> list[Floats]:
        """The same of several."""
        known = self.work_out(*full_bloom).chance
        return [_read(known, days) for days in full_bloom]

    def work_out(self, *full_bloom: Floats) -> "_Known":
        """The tables, with all days of each season from the first to the last of these in them: at once it takes less
        long than by parts.
        """
        known = self._known
        ends = np.stack([end for days in full_bloom for end in _ends(days)])
        column, none = _column(ends), ends >= UNREACHED
        first = np.minimum(np.where(none, _COLUMNS, column).min(axis=0), known.first)
        stop = np.maximum(np.where(none, 0, column + 1).max(axis=0), known.stop)
        before = np.maximum(np.minimum(known.first, stop) - first, 0)
        since = np.maximum(known.stop, first + before)
        kept, chance = known.kept, known.chance
        for start, count in ((first, before), (since, stop - since)):
            if (width := int(count.max())) > 0:
                columns = np.clip(start, 0, _COLUMNS - width)[:, None] + np.arange(width)
                alive = np.float32(1.0) - _killed(self._clock, self._tmin_c, columns)
                kept, chance = _put(kept, columns, alive), _put(chance, columns, worthwhile_chance(alive))
        if kept is not known.kept:
            self._known = known = _Known(first, stop, kept, chance)
        return known


class _Known(NamedTuple):
    """What is worked out: of each season (seasons,) the columns from the first on; both tables (seasons, _COLUMNS)."""

    first: NDArray[np.intp]
    stop: NDArray[np.intp]
    kept: Floats
    chance: Floats


_COLUMNS = len(range(FIRST_DAY, LAST_DAY, DAY_STEP))


def _ends(full_bloom: Floats) -> tuple[Floats, Floats]:
    """First and last full bloom of each season (seasons,); UNREACHED where there is none."""
    first = full_bloom.min(axis=0, initial=UNREACHED)
    if not len(full_bloom):
        return first, first
    last = full_bloom.max(axis=0)
    if last.max() >= UNREACHED:
        last = np.where(full_bloom >= UNREACHED, first, full_bloom).max(axis=0)
    return first, last


def _column(full_bloom: Floats) -> NDArray[np.intp]:
    """Places of days of full bloom in the tables, held within them."""
    column = np.clip(full_bloom, np.float32(FIRST_DAY), np.float32(LAST_DAY) - np.float32(DAY_STEP + 0.01))
    column -= np.float32(FIRST_DAY)
    column *= np.float32(1.0 / DAY_STEP)
    return column.astype(np.intp)


def _read(table: Floats, full_bloom: Floats) -> Floats:
    """Entries of a table (seasons, _COLUMNS) at days of full bloom (..., seasons); 0 where there is no bloom."""
    place = _column(full_bloom)
    place += np.arange(len(table)) * _COLUMNS
    found: Floats = table.ravel().take(place, mode="clip")
    np.copyto(found, 0.0, where=full_bloom >= UNREACHED)
    return found


def _put(table: Floats, columns: NDArray[np.intp], values: Floats) -> Floats:
    """The table with values in some columns (seasons, n)."""
    table = table.copy()
    np.put_along_axis(table, columns, values, axis=1)
    return table


def bloom_kept(clock: SiteClock, tmin_c: Floats | None = None) -> Floats:
    """Share of flowers alive (seasons, full-bloom days of the table), by the worst night of each stage.

    tmin_c: nightly minima (seasons, days) to take instead of the site's own, as of a spot up the slope.
    """
    tmin = clock.seasons.weather.tmin_c if tmin_c is None else tmin_c
    kept: Floats = np.float32(1.0) - _killed(clock, tmin, np.tile(np.arange(_COLUMNS), (len(tmin), 1)))
    return kept


_SEASONS_AT_ONCE = 50
"""So that what is made of them stays in the processor's cache."""


def _killed(clock: SiteClock, tmin_c: Floats, columns: NDArray[np.intp]) -> Floats:
    """Share of flowers killed (seasons, n), full bloom being on these columns (seasons, n), which follow each other.

    Only nights that are cold once buds have begun to open are looked at.
    """
    table = _kill_table()
    bloom_day, width = FIRST_DAY + DAY_STEP * columns, columns.shape[1]
    first_night = max(FIRST_DAY - FIGURES.days_after + 1, int(bloom_day.min()) - FIGURES.days_before)
    night = np.arange(first_night, min(LAST_DAY, int(bloom_day.max()) + 1) + FIGURES.days_after)
    bud_c = tmin_c[:, night] - np.float32(FIGURES.bud_deficit_c)
    row = np.clip(np.rint((bud_c - np.float32(_COLDEST_C)) * np.float32(_STEPS_PER_C)), 0, len(table) - 1)
    heat, by_bloom = clock.heat.by_day[:, night], np.take_along_axis(clock.heat.by_day, bloom_day, axis=1)
    usual = np.broadcast_to(release_chill(np.array([[FIGURES.usual_chill_need]])), (1, len(tmin_c)))
    released = clock.heat.total_at(np.minimum(clock.chill.day_reached(usual), clock.chill_end))[0]
    begins, ends = FLOWER_STAGES[0].heat_share, FLOWER_STAGES[-1].heat_share
    # What opens early opens on less heat: stages are shares of the heat from release to that bloom.
    whole = np.maximum(by_bloom - released[:, None], np.float32(FIGURES.least_bloom_heat_gdh))
    steps = np.float32(_STAGES / (ends - begins)) / whole
    open_ = np.float32(1.0 + (1.0 - begins) / (ends - begins) * _STAGES)
    ahead = bloom_day[:, :1] - night  # of the first bloom; no later one is further on in its stages on any night
    counts = (bud_c < FIGURES.harmless_from_c) & (row < len(table) - 1)
    counts &= (heat - by_bloom[:, :1]) * steps[:, :1] + open_ > 0.0
    furthest = -FIGURES.days_after - DAY_STEP * (width - 1)
    counts &= (ahead >= furthest) & (ahead <= FIGURES.days_before)
    later = np.arange(furthest, FIGURES.days_before + 1)[:, None] + DAY_STEP * np.arange(width)
    near = ((later >= -FIGURES.days_after) & (later <= FIGURES.days_before)).astype(np.float32)
    killed = np.zeros(bloom_day.shape, dtype=np.float32)
    for start in range(0, len(tmin_c), _SEASONS_AT_ONCE):
        season, place = np.nonzero(counts[start : start + _SEASONS_AT_ONCE])
        season += start
        stage = heat[season, place][:, None] - by_bloom[season]
        stage *= steps[season]
        stage += open_
        entry = np.clip(stage, 0.0, np.float32(_STAGES), out=stage).astype(np.intp)
        entry += row[season, place].astype(np.intp)[:, None] * table.shape[1]
        share = table.ravel().take(entry, mode="clip")
        share *= near[ahead[season, place] - furthest]
        seasons, from_ = np.unique(season, return_index=True)
        killed[seasons] = np.maximum.reduceat(share, from_, axis=0) if from_.size else 0.0
    return killed


def killed_share(bud_c: Floats, ten_c: Floats, ninety_c: Floats, crown_spread_c: float = 0.0) -> Floats:
    """Share of buds killed at a temperature, through the 10 and the 90 per cent points, over a crown's own spread."""
    half_width = (ten_c - ninety_c) / 2.0
    # A logistic curve reaches 10 % at 1.71 of its standard deviations from the middle or 1.28 of a normal one.
    wider = np.hypot(half_width, PERCENTILE_90 * crown_spread_c)
    share: Floats = 1.0 / (1.0 + np.exp(np.log(9.0) * (bud_c - (ten_c - half_width)) / wider))
    return share


def crop_after_frost(chance: FrostTable | Floats, full_bloom: Floats) -> Floats:
    """Chance (cultivars, seasons) of a worthwhile crop, given the day of full bloom.

    chance: of a site, or `worthwhile_chance` of `bloom_kept`, (seasons, full-bloom days of the table).
    """
    return chance.chance(full_bloom) if isinstance(chance, FrostTable) else _read(chance, full_bloom)


def worthwhile_chance(kept: Floats) -> Floats:
    """Chance of at least half a normal crop when this share of the flowers is alive."""
    odds = (np.maximum(kept, 1e-6) / FIGURES.worthwhile_flowers) ** FIGURES.worthwhile_steepness
    return (odds / (1.0 + odds)).astype(np.float32)
