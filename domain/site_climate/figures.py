"""Depth 1: the climate that shows the figures told, found by weighing them against a prior.

The normals are moved along the prior's modes, and the spread of the weather with them, until the simulated seasons show
the figures as nearly as their errors and the prior allow: a maximum a posteriori fit by Gauss and Newton's method, the
Jacobian by differences between climates simulated side by side, improved by Broyden's rule. A figure moves only what it
speaks of: a percentile how years differ and not their mean, a date of frost its nights and not the winter. Errors have
Student's distribution, so that one figure that contradicts all others is left aside rather than obeyed. The same fit
tells how far figures and prior leave each result open. Everything downstream then reads one sequence of weather.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.site_climate import predicted_figures as predicted
from domain.site_climate.climate_prior import ClimatePrior, Step
from domain.site_climate.observed_figures import Figure
from domain.site_climate.predicted_figures import Blocks
from domain.tables.parameters import figures
from domain.tree_year.clock import CLOCK_QUANTITIES
from domain.weather.normals import MonthlyNormals
from domain.weather.seasons import COUNTED, Seasons, read_together
from domain.weather.variability import Variability


class MethodFigures(msgspec.Struct, frozen=True):
    """What simulation itself misses even when the normals are known, as standard deviations."""

    chill_portions: float
    last_frost_days: float
    winter_minimum_c: float
    summer_mean_c: float
    bloom_days: float


FIGURES = figures("site_climate", "figures", MethodFigures)


Floats = NDArray[np.float64]

NIGHTS: frozenset[Step] = frozenset({"spring_nights", "autumn_nights"})
LEFT_OUT: frozenset[Step] = frozenset({"autumn_nights", "lasting"})
"""Steps that move chill and bloom so little (2 % of their variance at most) that their hours are not walked for it."""
YEARS = 200
JACOBIAN_YEARS = 32
CLOCK_YEARS = 16
"""Years of them whose hours are walked for the spreads of chill and bloom. Against a hundred years the spreads of 55
places so are off by 6 and 15 % (root mean square); with 32 years by 5 and 13 %."""
STEP, STEP_OF_NIGHTS = 1.0, 2.0
"""Lengths of the probes; nights are probed further, since a little colder they often bring no later frost at all."""
LONGEST_STEP = 3.0
ROUNDS = 5
CLOSE = 0.15
"""A round that moves every step by less than this is the last."""
TAIL = 4.0


@dataclass(frozen=True)
class ClimateSpread:
    """Standard deviations of what is not known of a climate (not of its years).

    chill_portions: of their mean. last_frost_days: of the median date of the last frost at 0 C. winter_minimum_c: of
    the mean yearly minimum. summer_mean_c: of the mean of the warmest month. bloom_days: of the middle date of bloom.
    """

    chill_portions: float
    last_frost_days: float
    winter_minimum_c: float
    summer_mean_c: float
    bloom_days: float


def method_spread() -> ClimateSpread:
    """What simulation itself misses even when the normals are known."""
    return ClimateSpread(**msgspec.structs.asdict(FIGURES))


Misfit = tuple[Figure, float, float]
"""A figure, what the climate shows in its stead, and the standardised difference."""


@dataclass(frozen=True)
class Fitted:
    """The climate found: its normals and seasons, what stays open, and how far each figure is off.

    variability is None where the seasons are a record's own.
    """

    normals: MonthlyNormals
    variability: Variability | None
    seasons: Seasons
    spread: ClimateSpread
    misfits: tuple[Misfit, ...]


def _of_weather(blocks: Blocks) -> Floats:
    """Last frost, winter minimum and warmest month (3, count): what follows from days alone."""
    mean = blocks.seasons.mean_temperature_c[:, :365].reshape(blocks.count, -1, 365).mean(axis=1)
    months = np.stack([mean[:, start : start + 30].mean(axis=1) for start in range(0, 336, 5)])
    return np.stack(
        [
            predicted.middle(predicted.last_frost(blocks, 0.0)),
            predicted.winter_minimum(blocks).mean(axis=1),
            months.max(axis=0).astype(np.float64),
        ]
    )


def _of_clocks(blocks: Blocks) -> Floats:
    """Chill and bloom (2, count): what the hours are walked for."""
    chill = predicted.chill(blocks, "chill_portions", None).mean(axis=1)
    return np.stack([chill, predicted.middle(predicted.bloom(blocks))])


def _slopes_of_results(near: Blocks, moved: Sequence[Step], reach: Floats, beside: Seasons) -> Floats:
    """How the quantities of ClimateSpread (5, steps), in its order, move with each step of a prior.

    near: the middle climate and those a probe away from it. beside: other seasons whose clocks are read in the same
    walk.
    """
    by_weather = _of_weather(near)
    walked = [n for n, step in enumerate(moved) if step not in LEFT_OUT]
    clocks = near.of([0, *(n + 1 for n in walked)], CLOCK_YEARS)
    read_together((clocks.seasons, beside), *CLOCK_QUANTITIES)
    by_clocks = _of_clocks(clocks)
    slopes = np.zeros((5, len(moved)))
    slopes[1:4] = (by_weather[:, 1:] - by_weather[:, :1]) / reach
    slopes[np.ix_([0, 4], walked)] = (by_clocks[:, 1:] - by_clocks[:, :1]) / reach[walked]
    return slopes


def _read(figures: Sequence[Figure], seasons: Seasons) -> None:
    """Read what the figures need of the hours; what looks at an hour by itself on the days alone that are told of."""
    within = [figure for figure in figures if figure.days is not None]
    spans = [figure.days for figure in within if figure.days is not None]
    counted = {one for figure in within for one in figure.reads if one in COUNTED}
    if counted:
        seasons.count(counted, min(first for first, _ in spans), max(last for _, last in spans))
    seasons.read(*{one for figure in figures for one in figure.reads if one not in counted})


def _differences(figures: Sequence[Figure], blocks: Blocks) -> Floats:
    if not figures:
        return np.zeros((0, blocks.count))
    return np.stack([figure.residuals(blocks) for figure in figures])


def _errors(figures: Sequence[Figure], blocks: Blocks) -> Floats:
    return np.array([float(figure.spread(blocks)[0]) for figure in figures])


def _weights(difference: Floats, error: Floats, say: float, doubted: NDArray[np.bool_], usual: Floats) -> Floats:
    """Weights of the figures, times the say left to them; under Student's distribution where they may be doubted.

    usual: how far off each may be without surprise beyond its own error, in its unit.
    """
    surprise = difference**2 / (error**2 + usual**2)
    doubt = np.where(doubted, (TAIL + 1.0) / (TAIL + surprise), 1.0)
    weights: Floats = say * doubt / error**2
    return weights


def _nearest(prior: ClimatePrior, figures: Sequence[Figure], say: float, doubted: bool, years: int) -> Fitted:
    """The climate nearest to prior and figures, as `fit` says.

    ``say`` is the share of the figures' say that the prior left over. ``doubted``: a figure that contradicts the rest
    is left aside; without anything to contradict it, it is taken at its word, unless it tells how years differ: what
    years can show is bounded.
    """
    may_doubt = np.array([doubted or figure.of_years for figure in figures], dtype=np.bool_)
    moves = np.array(
        [[figure.moves is None or step in figure.moves for step in prior.moved] for figure in figures], dtype=np.float64
    ).reshape(len(figures), prior.steps)

    def shown_at(steps: Floats) -> tuple[Blocks, Floats]:
        blocks = predicted.side_by_side([prior.weather(steps, years)])
        _read(figures, blocks.seasons)
        return blocks, _differences(figures, blocks)[:, 0]

    count = prior.steps
    reach = np.array([STEP_OF_NIGHTS if step in NIGHTS else STEP for step in prior.moved])
    probes = np.vstack([np.zeros(count), np.diag(reach)])
    near = predicted.side_by_side([prior.weather(probe, JACOBIAN_YEARS) for probe in probes])
    _read(figures, near.seasons)
    shown = _differences(figures, near)
    slope: Floats = (shown[:, 1:] - shown[:, :1]) / reach
    # Where places differ by weeks in frost, a date told is no surprise, and nothing but it speaks of those nights.
    of_nights = np.array([bool(figure.moves and figure.moves & NIGHTS) for figure in figures], dtype=np.bool_)
    usual: Floats = np.where(of_nights, np.sqrt((slope**2).sum(axis=1)), 0.0)

    steps: Floats = np.zeros(count)
    blocks, difference = shown_at(steps)
    for _ in range(ROUNDS if figures else 0):
        error = _errors(figures, blocks)
        move: Floats = np.zeros(count)
        for _ in range(4):  # the weights follow the errors that the move leaves
            weight = _weights(difference + slope @ move, error, say, may_doubt, usual)
            own = slope * moves
            curvature = own.T @ (slope * weight[:, None]) + np.eye(count)
            step = np.linalg.solve(curvature, -own.T @ (weight * difference) - steps)
            move = np.clip(step, -LONGEST_STEP, LONGEST_STEP).astype(np.float64)
        steps = steps + move
        blocks, after = shown_at(steps)
        length = float(move @ move)
        if length > 0.01:
            slope += np.outer(after - difference - slope @ move, move) / length
        difference = after
        if np.abs(move).max() < CLOSE:
            break

    result_slope = _slopes_of_results(near, prior.moved, reach, blocks.seasons)
    error = _errors(figures, blocks)
    weight = _weights(difference, error, say, may_doubt, usual)
    # What a figure tells narrows all that it depends on, also what it was not allowed to move.
    told = slope * np.where([figure.of_years for figure in figures], 0.0, 1.0)[:, None] if figures else slope
    curvature = told.T @ (told * weight[:, None]) + np.eye(count)
    open_ = np.sqrt(np.einsum("ij,jk,ik->i", result_slope, np.linalg.inv(curvature), result_slope))
    floor = np.array(list(vars(method_spread()).values()))
    spread = ClimateSpread(*(float(value) for value in np.hypot(open_, floor)))
    misfits = tuple(misfit(figure, blocks) for figure in figures)
    return Fitted(prior.normals(steps), prior.variability(steps), blocks.seasons, spread, misfits)


def fit(
    prior: ClimatePrior,
    figures: Sequence[Figure],
    say: float = 1.0,
    *,
    doubted: bool = True,
    years: int = YEARS,
    disagreement: float = np.inf,
) -> Fitted:
    """The climate nearest to prior and figures, the mean before the percentiles.

    Percentiles that no years of the mean told can show (further off than ``disagreement`` standard deviations) are
    dropped: they are compared with the climate that is found without them.
    """
    found = _nearest(prior, figures, say, doubted, years)
    dropped = [figure for figure, _, off in found.misfits if figure.of_years and abs(off) > disagreement]
    if not dropped:
        return found
    found = _nearest(prior, [figure for figure in figures if figure not in dropped], say, doubted, years)
    blocks = Blocks(found.seasons, 1)
    return replace(found, misfits=(*found.misfits, *(misfit(figure, blocks) for figure in dropped)))


def misfit(figure: Figure, blocks: Blocks) -> Misfit:
    """How far one climate is from a figure."""
    off = float(figure.residuals(blocks)[0])
    return figure, figure.value + off, off / float(figure.spread(blocks)[0])
