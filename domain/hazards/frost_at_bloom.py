"""What spring frost leaves of the bloom, season by season, from green tip to four weeks after full bloom.

Critical temperatures are those that kill 10 and 90 per cent of the flower buds in 30 minutes, by stage
(domain/fruit/flower_stages.py). The stage a bud is in follows the heat still to come before full bloom; between the
stages temperatures are interpolated.
"""

from functools import lru_cache

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
        self._known = (0, np.ones((len(self._tmin_c), 0), dtype=np.float32), np.ones((0, 0), dtype=np.float32))

    @property
    def edition(self) -> int:
        """How many days are worked out."""
        return self._known[1].shape[1]

    @property
    def held(self) -> tuple[Floats, ...]:
        """The arrays that it holds beside those of the clock."""
        return (self._tmin_c, *self._known[1:])

    def kept(self, full_bloom: Floats) -> Floats:
        """Share of flowers alive (cultivars, seasons), given the day of full bloom; none where there is no bloom."""
        return self._read(full_bloom, chance=False)

    def chance(self, full_bloom: Floats) -> Floats:
        """Chance (cultivars, seasons) of a worthwhile crop, given the day of full bloom."""
        return self._read(full_bloom, chance=True)

    def work_out(self, *full_bloom: Floats) -> None:
        """Work out all that will be asked of these days of bloom at once: by parts it takes longer."""
        reached = [days[days < UNREACHED] for days in full_bloom]
        ends = [end for days in reached if days.size for end in (days.min(), days.max())]
        if ends:
            lowest, highest = _column(_within(np.array([min(ends), max(ends)])), _COLUMNS).tolist()
            self._up_to(lowest, highest + 1)

    def _read(self, full_bloom: Floats, *, chance: bool) -> Floats:
        none = full_bloom >= UNREACHED
        if none.all():
            return np.zeros(full_bloom.shape, dtype=np.float32)
        day = _within(full_bloom)
        if none.any():
            day[none] = day.min()
        lowest, highest = _column(np.array([day.min(), day.max()]), _COLUMNS).tolist()
        first, kept, chances = self._up_to(lowest, highest + 1)
        day -= np.float32(FIRST_DAY + DAY_STEP * first)
        day *= np.float32(1.0 / DAY_STEP)
        found = _at(chances if chance else kept, day.astype(np.intp))
        if none.any():
            found[none] = 0.0
        return found

    def _up_to(self, first: int, stop: int) -> tuple[int, Floats, Floats]:
        """The first column known, and both tables from it on, once these columns are among them."""
        known, kept, _ = self._known
        start, end = (
            (min(first, known), max(stop, known + kept.shape[1])) if kept.size else (first, max(stop, first + 1))
        )
        if kept.size and known == start and known + kept.shape[1] == end:
            return self._known
        if kept.size:
            sides = (slice(start, known), slice(known + kept.shape[1], end))
            before, after = (1.0 - _killed(self._clock, self._tmin_c, side) for side in sides)
            kept = np.concatenate([before, kept, after], axis=1)
        else:
            kept = 1.0 - _killed(self._clock, self._tmin_c, slice(start, end))
        self._known = (start, kept, worthwhile_chance(kept))
        return self._known


_COLUMNS = len(range(FIRST_DAY, LAST_DAY, DAY_STEP))


def _within(full_bloom: Floats) -> Floats:
    """Days of full bloom held within the table."""
    return np.clip(full_bloom, np.float32(FIRST_DAY), np.float32(LAST_DAY) - np.float32(DAY_STEP + 0.01))


def _column(full_bloom: Floats, width: int) -> NDArray[np.intp]:
    """Places of days of full bloom in a table of so many days."""
    place = np.clip((full_bloom - np.float32(FIRST_DAY)) * np.float32(1.0 / DAY_STEP), 0.0, width - 1.001)
    return np.asarray(place, dtype=np.intp)


def _at(table: Floats, column: NDArray[np.intp]) -> Floats:
    """Entries of a table (seasons, width) at places (..., seasons)."""
    seasons, width = table.shape
    place = column + np.arange(seasons, dtype=np.intp) * width
    entries: Floats = table.ravel().take(place, mode="clip")
    return entries


def bloom_kept(clock: SiteClock, tmin_c: Floats | None = None) -> Floats:
    """Share of flowers alive (seasons, full-bloom days of the table), by the worst night of each stage.

    tmin_c: nightly minima (seasons, days) to take instead of the site's own, as of a spot up the slope.
    """
    tmin = clock.seasons.weather.tmin_c if tmin_c is None else tmin_c
    kept: Floats = np.float32(1.0) - _killed(clock, tmin, slice(0, _COLUMNS))
    return kept


def _killed(clock: SiteClock, tmin_c: Floats, columns: slice) -> Floats:
    """Share of flowers killed (seasons, columns), full bloom being on these of the days of the table."""
    bloom_day = np.arange(FIRST_DAY, LAST_DAY, DAY_STEP)[columns]
    table, flat = _kill_table(), _kill_table().ravel()
    killed = np.zeros((len(tmin_c), bloom_day.size), dtype=np.float32)
    if not bloom_day.size:
        return killed
    first_night = max(FIRST_DAY - FIGURES.days_after + 1, int(bloom_day[0]) - FIGURES.days_before)
    nights = slice(first_night, min(LAST_DAY, int(bloom_day[-1]) + 1) + FIGURES.days_after)
    bud_c = tmin_c[:, nights] - np.float32(FIGURES.bud_deficit_c)
    row = np.clip(np.rint((bud_c - np.float32(_COLDEST_C)) * np.float32(_STEPS_PER_C)), 0, len(table) - 1)
    row[bud_c >= FIGURES.harmless_from_c] = len(table) - 1
    cold = (row < len(table) - 1).any(axis=0)
    heat = clock.heat.by_day
    # Nights by twos, as the days of bloom are: the nights so many days from every bloom then lie together.
    by_twos = [
        (
            row[:, odd::DAY_STEP].astype(np.intp) * table.shape[1],
            np.ascontiguousarray(heat[:, nights][:, odd::DAY_STEP]),
        )
        for odd in range(DAY_STEP)
    ]
    usual = np.broadcast_to(release_chill(np.array([[FIGURES.usual_chill_need]])), (1, len(tmin_c)))
    released = clock.heat.total_at(np.minimum(clock.chill.day_reached(usual), clock.chill_end))[0]
    by_bloom = np.ascontiguousarray(heat[:, bloom_day])
    first, last = FLOWER_STAGES[0].heat_share, FLOWER_STAGES[-1].heat_share
    # What opens early opens on less heat: stages are shares of the heat from release to that bloom.
    whole = np.maximum(by_bloom - released[:, None], np.float32(FIGURES.least_bloom_heat_gdh))
    steps = np.float32(_STAGES / (last - first)) / whole
    open_ = np.float32(1.0 + (1.0 - first) / (last - first) * _STAGES)
    for ahead in range(-FIGURES.days_after, FIGURES.days_before + 1):
        night = int(bloom_day[0]) - ahead - first_night
        early = max(0, -(night // DAY_STEP))  # blooms so early that the night lies before those that count
        start, odd = divmod(night + early * DAY_STEP, DAY_STEP)
        count = min(bloom_day.size - early, by_twos[odd][0].shape[1] - start)
        if count <= 0 or not cold[night + early * DAY_STEP :: DAY_STEP][:count].any():
            continue
        blooms, there = slice(early, early + count), slice(start, start + count)
        stage = by_twos[odd][1][:, there] - by_bloom[:, blooms]
        stage *= steps[:, blooms]
        stage += open_
        np.maximum(stage, 0.0, out=stage)
        np.minimum(stage, float(_STAGES), out=stage)
        place = stage.astype(np.intp)
        place += by_twos[odd][0][:, there]
        so_far = killed[:, blooms]
        np.maximum(so_far, flat.take(place), out=so_far)
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
    if isinstance(chance, FrostTable):
        return chance.chance(full_bloom)
    found = _at(chance, _column(full_bloom, chance.shape[1]))
    return np.where(full_bloom >= UNREACHED, np.float32(0.0), found)


def worthwhile_chance(kept: Floats) -> Floats:
    """Chance of at least half a normal crop when this share of the flowers is alive."""
    odds = (np.maximum(kept, 1e-6) / FIGURES.worthwhile_flowers) ** FIGURES.worthwhile_steepness
    return (odds / (1.0 + odds)).astype(np.float32)
