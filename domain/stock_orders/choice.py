"""The exact choice of a stock: k cultivars so that the best few of them at each site are worth most together.

Variables: x (a cultivar is stocked, yes or no) and y (it is offered at a site, between 0 and x, ends whole by itself).
Each site is offered at most a few; the worth is the mean over sites by weight. Solved by HiGHS on one thread, bounded
in nodes, so that equal requests get equal answers. (The problem is that of facility location; Cornuejols, Fisher and
Nemhauser 1977, Management Science 23, show the relaxation to be tight in practice.)
"""

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from domain.planting_list.solver import silent_solver

MOST_NODES = 40
LEAST_WORTH = 1e-9

Worths = NDArray[np.float64]


@dataclass(frozen=True)
class StockChoice:
    """Columns of the chosen cultivars, their worth, and the proven bound on the worth of any such choice."""

    chosen: tuple[int, ...]
    value: float
    bound: float


def best_stock(worth: Worths, weight: Worths, kinds: int, offered: int, fixed: Sequence[int] = ()) -> StockChoice:
    """The best `kinds` columns. worth: (sites, cultivars) of each at each site, 0 where it is not offered.

    weight: (sites,), of sum 1. fixed: columns that are stocked in any case; more of them than kinds raise ValueError.
    """
    if len(fixed) > kinds:
        raise ValueError("more cultivars must be stocked than kinds are allowed")
    useful = np.flatnonzero((worth.max(axis=0) > LEAST_WORTH) | np.isin(np.arange(worth.shape[1]), fixed))
    if useful.size <= kinds:
        chosen = _needed(worth, weight, useful.tolist(), offered, fixed)
        value = stock_value(worth, weight, chosen, offered)
        return StockChoice(chosen, value, value)
    if kinds == len(fixed) + 1:  # one after another: among them alone a search finds nothing to go by
        free = [column for column in useful.tolist() if column not in fixed]
        values = [stock_value(worth, weight, [*fixed, column], offered) for column in free]
        best = int(np.argmax(values))
        return StockChoice(
            _needed(worth, weight, sorted([*fixed, free[best]]), offered, fixed), values[best], values[best]
        )
    solver = _model(worth[:, useful], weight, kinds, offered, np.isin(useful, fixed))
    solver.setOptionValue("mip_max_nodes", MOST_NODES)
    if solver.run() == highspy.HighsStatus.kError:
        raise RuntimeError("the solver failed")
    x = np.array(solver.getSolution().col_value)[: useful.size]
    chosen = _needed(worth, weight, useful[np.flatnonzero(x > 0.5)].tolist(), offered, fixed)
    value = stock_value(worth, weight, chosen, offered)
    proven = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return StockChoice(chosen, value, value if proven else max(float(solver.getInfo().mip_dual_bound), value))


def _needed(worth: Worths, weight: Worths, chosen: list[int], offered: int, fixed: Sequence[int]) -> tuple[int, ...]:
    """The chosen without those that no site is offered."""
    value = stock_value(worth, weight, chosen, offered)
    for column in [one for one in chosen if one not in fixed]:
        rest = [other for other in chosen if other != column]
        if stock_value(worth, weight, rest, offered) >= value - LEAST_WORTH:
            chosen = rest
    return tuple(chosen)


def stock_value(worth: Worths, weight: Worths, chosen: Sequence[int], offered: int) -> float:
    """Mean over sites of the worth of the best `offered` of the chosen, each counting its share of them."""
    if not chosen:
        return 0.0
    best = -np.sort(-worth[:, list(chosen)], axis=1)[:, :offered]
    return float(weight @ best.sum(axis=1)) / offered


def _model(worth: Worths, weight: Worths, kinds: int, offered: int, fixed: NDArray[np.bool_]) -> highspy.Highs:
    sites, size = worth.shape
    gain = weight[:, None] * worth / offered
    at, of = np.nonzero(worth > LEAST_WORTH)
    y = size + np.arange(at.size)
    rows: list[tuple[float, float, NDArray[np.int64], Worths]] = [
        (-np.inf, float(kinds), np.arange(size), np.ones(size))
    ]
    rows += [(-np.inf, 0.0, np.array([one, x]), np.array([1.0, -1.0])) for one, x in zip(y, of, strict=True)]
    rows += [(-np.inf, float(offered), y[at == site], np.ones(int((at == site).sum()))) for site in range(sites)]
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = size + at.size, len(rows)
    model.sense_ = highspy.ObjSense.kMaximize
    model.col_cost_ = np.concatenate([np.zeros(size), gain[at, of]])
    model.col_lower_ = np.concatenate([fixed.astype(np.float64), np.zeros(at.size)])
    model.col_upper_ = np.ones(size + at.size)
    model.row_lower_, model.row_upper_ = np.array([row[0] for row in rows]), np.array([row[1] for row in rows])
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.num_col_, model.a_matrix_.num_row_ = size + at.size, len(rows)
    model.a_matrix_.start_ = np.cumsum([0, *(len(row[2]) for row in rows)]).astype(np.int32)
    model.a_matrix_.index_ = np.concatenate([row[2] for row in rows]).astype(np.int32)
    model.a_matrix_.value_ = np.concatenate([row[3] for row in rows])
    whole = [highspy.HighsVarType.kInteger] * size
    model.integrality_ = whole + [highspy.HighsVarType.kContinuous] * at.size
    solver = silent_solver(0.0)
    solver.passModel(model)
    return solver
