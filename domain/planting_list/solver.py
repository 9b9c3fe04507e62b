"""A planting list as a mixed-integer linear program, and its relaxation, solved by HiGHS on one thread.

Variables: x (plant a candidate, yes or no); z (a tree that stands without a source although it should have one);
u and v (a slot of the picking season is filled once, twice); w (a wished use, or a tree that stands, is served). All
but x are continuous and end at whole numbers by themselves, since worth is concave in them.

The search is bounded in nodes and not in seconds, so that equal requests get equal answers on any machine.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import highspy
import numpy as np
from numpy.typing import NDArray

from domain.planting_list.choice import ListProblem, list_worth, unserved
from domain.planting_list.rules import Rule

MOST_NODES = 40
"""Nodes of the search for all lists of a request together; most requests take 1 to 30."""
MOST_ITERATIONS = 2_500
"""Steps of the simplex method for all lists together, after which only one node of each search is looked at; ordinary
requests take 10 to 2,000."""
LOOKS_WITH_A_LIST, MOST_LOOKS = 12, 60
"""How often the solver looks up, where the budget is spent, before it ends with the list it has, and without one."""
MOST_ROUNDS = 25
"""Rounds in which rows on pollen are added to the relaxation; any number of them gives a valid bound."""
LAZY_ROUNDS = 3
"""Searches with the rows on pollen that lists broke so far; the next one has all of them."""
BROKEN_BY = 1e-6
"""By how much a solution must miss a row to break it."""

_Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Choice:
    """The best list found, its worth in points, and the proven bound on the worth of any list.

    proven: no list is worth more, or, where the problem has a tolerance, none by more than that.
    """

    chosen: tuple[int, ...]
    unserved: tuple[int, ...]
    worth: float
    bound: float
    proven: bool


@dataclass(frozen=True)
class Relaxation:
    """Best worth with trees in fractions, and what it changes for each whole tree of a candidate left out."""

    bound: float
    price: _Floats
    """(m,) reduced costs: a list that holds a candidate at 0 here is worth at most `bound` plus its price (below 0)."""
    pollen_rows: tuple[int, ...] = ()
    """Trees whose rows on pollen it needed."""
    whole: tuple[int, ...] | None = None
    """The candidates planted, where all stand whole and keep every rule: no list is better."""


@dataclass
class _Model:
    """Costs, bounds and rows, gathered from a problem."""

    problem: ListProblem
    costs: _Floats
    lower: _Floats
    pollen_slack: dict[int, int]
    starts: list[int] = field(default_factory=lambda: [0])
    columns: list[NDArray[np.int32]] = field(default_factory=list)
    values: list[_Floats] = field(default_factory=list)
    row_low: list[float] = field(default_factory=list)
    row_high: list[float] = field(default_factory=list)

    def add(self, low: float, high: float, *parts: tuple[Sequence[int] | NDArray[np.intp], float | _Floats]) -> None:
        """One row: low <= sum of value x columns <= high."""
        for columns, value in parts:
            self.columns.append(np.asarray(columns, dtype=np.int32))
            self.values.append(np.full(len(columns), value) if isinstance(value, float) else value)
        self.starts.append(self.starts[-1] + sum(len(columns) for columns, _ in parts))
        self.row_low.append(low)
        self.row_high.append(high)

    def add_pollen_row(self, tree: int) -> None:
        """A tree stands only with a source on the list, or at the price of what its sources leave of its shortfall."""
        slack = self.pollen_slack.get(tree)
        if slack is None:
            self.add(0.0, np.inf, (np.flatnonzero(self.problem.serves[tree]), 1.0), ([tree], -1.0))
        else:
            sources = np.flatnonzero(self.problem.pollen[tree])
            share = self.problem.pollen[tree, sources].astype(np.float64)
            self.add(0.0, np.inf, (sources, share), ([tree], -1.0), ([slack], 1.0))

    def solver(self, whole: bool) -> highspy.Highs:
        """A solver that holds the model, with x whole or in fractions."""
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = self.costs.size, len(self.row_low)
        model.sense_ = highspy.ObjSense.kMaximize
        model.col_cost_ = self.costs
        model.col_lower_, model.col_upper_ = self.lower, np.ones(self.costs.size)
        model.row_lower_, model.row_upper_ = np.array(self.row_low), np.array(self.row_high)
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.num_col_, model.a_matrix_.num_row_ = self.costs.size, len(self.row_low)
        model.a_matrix_.start_ = np.array(self.starts, dtype=np.int32)
        model.a_matrix_.index_ = np.concatenate(self.columns)
        model.a_matrix_.value_ = np.concatenate(self.values)
        if whole:
            trees = self.problem.size
            kinds = [highspy.HighsVarType.kInteger] * trees
            model.integrality_ = kinds + [highspy.HighsVarType.kContinuous] * (self.costs.size - trees)
        solver = silent_solver(self.problem.tolerance / 10)
        # Both cost more than all else on models of a few dozen columns, most of which are solved at the first node.
        solver.setOptionValue("presolve", "off")
        solver.setOptionValue("mip_heuristic_run_feasibility_jump", False)
        solver.passModel(model)
        return solver


@dataclass
class Budget:
    """What is left of the search that one request may take, so that its cost has an end on any machine alike."""

    nodes: int = MOST_NODES
    iterations: int = MOST_ITERATIONS

    def take_half(self) -> "Budget":
        """Half of what is left, taken from it: for a search that may have to be made again for less ground."""
        half = Budget(self.nodes - self.nodes // 2, self.iterations - self.iterations // 2)
        self.nodes, self.iterations = self.nodes - half.nodes, self.iterations - half.iterations
        return half

    def take_back(self, rest: "Budget") -> None:
        """Add what a search left of its part."""
        self.nodes, self.iterations = self.nodes + rest.nodes, self.iterations + rest.iterations

    @property
    def spent(self) -> bool:
        """Whether a search may look at its first node only."""
        return self.nodes <= 1 or self.iterations <= 0


def as_choice(problem: ListProblem, relaxation: Relaxation) -> Choice | None:
    """The list of a relaxation whose trees all stand whole, which is the best; None of another one."""
    if relaxation.whole is None:
        return None
    chosen = relaxation.whole
    worth = list_worth(problem, chosen)
    return Choice(chosen, tuple(unserved(problem, chosen)), worth, max(worth, relaxation.bound), proven=True)


def solve(
    problem: ListProblem, rules: Sequence[Rule] = (), budget: Budget | None = None, likely_rows: Sequence[int] = ()
) -> Choice | None:
    """The best list of the problem, proven unless the budget ends; None if no list that keeps its rules is found.

    Rows on pollen are added where a list breaks them, as in `relax`; what is best without a row that it keeps is best
    with it. likely_rows: the trees whose rows are there from the start.
    """
    if not _enough(problem):
        return None
    budget = Budget() if budget is None else budget
    model = _model(problem, rules)
    needs = np.flatnonzero(problem.shortfall > 0).tolist()
    held: set[int] = set()
    bound = math.inf
    for attempt in range(LAZY_ROUNDS + 1):
        for tree in needs if attempt == LAZY_ROUNDS else likely_rows:
            if tree not in held:
                held.add(tree)
                model.add_pollen_row(tree)
        solver = model.solver(whole=True)
        solver.setOptionValue("mip_max_nodes", 1 if budget.spent else budget.nodes)
        if budget.spent:
            _end_soon(solver)
        _run(solver)
        info = solver.getInfo()
        budget.nodes -= max(int(info.mip_node_count), 0)
        budget.iterations -= max(int(info.simplex_iteration_count), 0)
        proven = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        bound = min(bound, float(info.mip_dual_bound))
        if not proven and info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None
        value = np.array(solver.getSolution().col_value)
        likely_rows = [tree for tree in _broken(problem, model, value) if tree not in held]
        if not likely_rows:
            break
    chosen = tuple(np.flatnonzero(value[: problem.size] > 0.5).tolist())
    worth = list_worth(problem, chosen)
    told = worth if proven and not problem.tolerance else max(bound, worth)
    return Choice(chosen, tuple(unserved(problem, chosen)), worth, told, proven)


def relax(problem: ListProblem, rules: Sequence[Rule] = ()) -> Relaxation | None:
    """Bound and prices with trees in fractions; None if even then no list keeps the rules.

    Rows on pollen are added only where a solution breaks them; the bound is valid with any part of them.
    """
    if not _enough(problem):
        return None
    model = _model(problem, rules)
    held: list[int] = []
    found: Relaxation | None = None
    for _ in range(MOST_ROUNDS):
        solver = model.solver(whole=False)
        _run(solver)
        if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        solution = solver.getSolution()
        value = np.array(solution.col_value)
        price = np.array(solution.col_dual)[: problem.size]
        found = Relaxation(solver.getInfo().objective_function_value, price, tuple(held))
        broken = _broken(problem, model, value)
        if not broken:
            x = value[: problem.size]
            if np.abs(x - np.rint(x)).max(initial=0.0) <= BROKEN_BY:
                found = replace(found, whole=tuple(np.flatnonzero(x > 0.5).tolist()))
            break
        for tree in broken:
            held.append(tree)
            model.add_pollen_row(tree)
    return found


def _broken(problem: ListProblem, model: _Model, value: _Floats) -> list[int]:
    """Trees whose row on pollen a solution breaks."""
    x = value[: problem.size]
    slack = np.zeros(problem.size)
    if model.pollen_slack:
        slack[list(model.pollen_slack)] = value[list(model.pollen_slack.values())]
    trees = np.flatnonzero((problem.shortfall > 0) & (x - slack > BROKEN_BY))
    standing = np.flatnonzero(x > 0.0)
    pairs = np.ix_(trees, standing)
    source = np.where(problem.must_be_served[trees, None], problem.serves[pairs], problem.pollen[pairs])
    return [int(one) for one in trees[x[trees] - slack[trees] - source.astype(np.float64) @ x[standing] > BROKEN_BY]]


def _enough(problem: ListProblem) -> bool:
    return problem.free_places >= 0 and problem.places - problem.empty_places <= problem.size


def _model(problem: ListProblem, rules: Sequence[Rule]) -> _Model:
    """All but the rows on pollen."""
    size, slots, gains = problem.size, problem.season.shape[1], problem.gains.shape[1]
    soft = np.flatnonzero((problem.shortfall > 0) & ~problem.must_be_served)
    u = size + soft.size
    v, w = u + slots, u + 2 * slots
    first, second = problem.slot_worth
    parts = [
        problem.tree_worth,
        -problem.shortfall[soft],
        np.full(slots, first),
        np.full(slots, second),
        problem.gain_worth,
    ]
    lower = np.zeros(w + gains)
    lower[:size] = problem.fixed
    slack = dict(zip(soft.tolist(), range(size, u), strict=True))
    model = _Model(problem, np.concatenate(parts).astype(np.float64), lower, slack)
    model.add(problem.places - problem.empty_places, problem.places, (range(size), 1.0))
    if problem.room is not None:
        model.add(-np.inf, problem.ground, (range(size), problem.room))
    order = np.argsort(problem.group, kind="stable")
    for members in np.split(order, np.flatnonzero(np.diff(problem.group[order])) + 1):
        if members.size > problem.trees_of_a_group:
            model.add(-np.inf, problem.trees_of_a_group, (members, 1.0))
    for slot in range(slots):
        model.add(0.0, np.inf, (np.flatnonzero(problem.season[:, slot]), 1.0), ([u + slot, v + slot], -1.0))
    for gain in range(gains):
        model.add(0.0, np.inf, (np.flatnonzero(problem.gains[:, gain]), 1.0), ([w + gain], -1.0))
    for rule in rules:  # out_of x members >= least x freely chosen
        free = ~problem.fixed
        members, others = np.flatnonzero(rule.members & free), np.flatnonzero(~rule.members & free)
        model.add(0.0, np.inf, (members, float(rule.out_of - rule.least)), (others, -float(rule.least)))
    return model


class _SilentHighs(highspy.Highs):
    """The solver, silent from the start: as it is made it enables its callbacks, and announces itself in doing so."""

    def enableCallbacks(self) -> None:  # noqa: N802 - the name is the solver's
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]  # untyped library


def silent_solver(tolerance: float) -> highspy.Highs:
    """A solver that says nothing, on one thread and from one seed, so that equal problems get equal answers."""
    solver = _SilentHighs()  # type: ignore[no-untyped-call]  # untyped library
    for option, value in (
        ("threads", 1),
        ("random_seed", 0),
        ("mip_rel_gap", tolerance),
        ("mip_abs_gap", 0.0),
    ):
        solver.setOptionValue(option, value)
    return solver


def _run(solver: highspy.Highs) -> None:
    """Solve; RuntimeError where the solver fails, which says nothing about whether a list exists."""
    if solver.run() == highspy.HighsStatus.kError:
        raise RuntimeError("the solver failed")


def _end_soon(solver: highspy.Highs) -> None:
    """End a search that the budget allows no more than a look: with the first list, or after some more looks without.

    The solver looks up at the same places of its work on any machine. A bound of one node does not do: that of some
    models takes as long as a hundred of others.
    """
    looks = 0

    def look(event: Any) -> None:
        nonlocal looks
        looks += 1
        if looks >= (LOOKS_WITH_A_LIST if math.isfinite(event.data_out.mip_primal_bound) else MOST_LOOKS):
            event.interrupt()

    solver.cbMipInterrupt += look
