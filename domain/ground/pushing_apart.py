"""Pushes points of a region apart until they keep a distance, or shows that this start does not get there.

Two points nearer than the distance repel each other, a point outside the region is drawn back to it; the squares of
both are minimised by the limited-memory BFGS method (Nocedal and Wright, Numerical Optimization, 2006, algorithm 7.4;
from memory), with the pairs taken from a list of neighbours that is renewed as points move.
"""

from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]

MEMORY = 8
SKIN = 1.4
"""Pairs up to this many distances apart are listed."""
TARGET_OVER = 1e-4
"""Points are pushed a little further apart than asked, so that the end of the descent keeps the distance."""
WALL_WEIGHT = 2.0
STALLED = 2e-3
"""Descent is given up when so small a share of the energy is gained in ten steps."""


@dataclass
class Effort:
    """Evaluations left; a search ends when they are used up, on any machine at the same point."""

    left: int


class Walls:
    """The outline of a region, to draw points back to."""

    def __init__(self, region: BaseGeometry) -> None:
        shapely.prepare(region)
        self.region = region
        rings = shapely.get_parts(shapely.get_rings(shapely.get_parts(region)))
        outlines = [shapely.get_coordinates(ring) for ring in rings]
        self._from = np.concatenate([outline[:-1] for outline in outlines])
        self._along = np.concatenate([np.diff(outline, axis=0) for outline in outlines])
        self._squared = np.maximum(np.einsum("ij,ij->i", self._along, self._along), 1e-300)

    def outside(self, points: Floats) -> NDArray[np.intp]:
        """Indices of the points (n, 2) that lie outside."""
        return np.flatnonzero(~shapely.intersects_xy(self.region, points))

    def nearest(self, points: Floats) -> Floats:
        """The nearest place of the outline to each point (n, 2)."""
        to_x = points[:, 0, None] - self._from[:, 0]
        to_y = points[:, 1, None] - self._from[:, 1]
        share = (to_x * self._along[:, 0] + to_y * self._along[:, 1]) / self._squared
        np.clip(share, 0.0, 1.0, out=share)
        to_x -= share * self._along[:, 0]
        to_y -= share * self._along[:, 1]
        edge = np.argmin(to_x * to_x + to_y * to_y, axis=1)
        each = np.arange(len(points))
        nearest: Floats = points - np.column_stack([to_x[each, edge], to_y[each, edge]])
        return nearest


@dataclass
class _Energy:
    """Energy and gradient of points that repel each other between walls; points and gradient flat, x then y (2n,)."""

    walls: Walls
    distance: float
    listed_at: Floats = field(default_factory=lambda: np.empty(0))
    pairs: NDArray[np.intp] = field(default_factory=lambda: np.empty((2, 0), dtype=np.intp))

    def __call__(self, flat: Floats) -> tuple[float, Floats]:
        self._list(flat)
        n = len(flat) // 2
        x, y = flat[:n], flat[n:]
        i, j = self.pairs
        dx, dy = x[i] - x[j], y[i] - y[j]
        length = np.sqrt(dx * dx + dy * dy)
        near = np.flatnonzero(length < self.distance)
        i, j, length = i[near], j[near], np.maximum(length[near], 1e-12)
        overlap = self.distance - length
        push = -2 * overlap / length
        push_x, push_y = push * dx[near], push * dy[near]
        gradient = np.empty(2 * n)
        gradient[:n] = np.bincount(i, push_x, n) - np.bincount(j, push_x, n)
        gradient[n:] = np.bincount(i, push_y, n) - np.bincount(j, push_y, n)
        energy = float(overlap @ overlap)
        points = flat.reshape(2, n).T
        out = self.walls.outside(points)
        if out.size:
            beyond = points[out] - self.walls.nearest(points[out])
            gradient[out] += 2 * WALL_WEIGHT * beyond[:, 0]
            gradient[out + n] += 2 * WALL_WEIGHT * beyond[:, 1]
            energy += WALL_WEIGHT * float(np.vdot(beyond, beyond))
        return energy, gradient

    def _list(self, flat: Floats) -> None:
        if self.listed_at.shape == flat.shape:
            moved = float(np.abs(flat - self.listed_at).max())
            if moved <= (SKIN - 1) * self.distance / 3:  # two points, each up to sqrt(2) of this
                return
        self.listed_at = flat.copy()
        self.pairs = pairs_within(flat.reshape(2, -1).T, SKIN * self.distance)


def pairs_within(points: Floats, distance: float) -> NDArray[np.intp]:
    """Index pairs (2, pairs), first below second, of points nearer than a distance."""
    if len(points) <= 200:
        i, j = np.triu_indices(len(points), 1)
        between = points[i] - points[j]
        near = np.einsum("ij,ij->i", between, between) < distance * distance
        return np.array([i[near], j[near]])
    geometries = shapely.points(points)
    found = shapely.STRtree(geometries).query(geometries, predicate="dwithin", distance=distance)
    return np.asarray(found[:, found[0] < found[1]], dtype=np.intp)


def keeps_distance(points: Floats, distance: float) -> bool:
    """Whether all points are at least a distance apart, up to a billionth of it."""
    return pairs_within(points, distance * (1 - 1e-9)).size == 0


def relax(points: Floats, walls: Walls, distance: float, effort: Effort, steps: int = 200) -> Floats | None:
    """Points (n, 2) inside that keep the distance, found downhill from these; None if the descent stalls."""
    energy_of = _Energy(walls, distance * (1 + TARGET_OVER))
    enough = (0.3 * TARGET_OVER * distance) ** 2
    x = np.ascontiguousarray(points.T).ravel()
    energy, gradient = energy_of(x)
    past = _Past()
    history = [energy]
    for step in range(steps):
        if energy < enough:
            break
        if effort.left <= 0 or (step >= 10 and history[-11] - energy < STALLED * history[-11]):
            return None
        direction = -past.newton_step(gradient)
        slope = float(direction @ gradient)
        if slope >= 0:
            past = _Past()
            direction = -past.newton_step(gradient)
            slope = float(direction @ gradient)
        t = min(1.0, 0.4 * distance / float(np.abs(direction).max()))
        for _ in range(12):
            effort.left -= 1
            trial = x + t * direction
            trial_energy, trial_gradient = energy_of(trial)
            if trial_energy <= energy + 1e-4 * t * slope:
                break
            t /= 2
        else:
            return None
        past.learn(t * direction, trial_gradient - gradient)
        x, energy, gradient = trial, trial_energy, trial_gradient
        history.append(energy)
    found = x.reshape(2, -1).T.copy()
    out = walls.outside(found)
    if out.size:
        found[out] = walls.nearest(found[out])
    return found if keeps_distance(found, distance) else None


@dataclass
class _Past:
    """Steps taken and how the gradient changed with each, from which the curvature is guessed."""

    steps: list[Floats] = field(default_factory=list)
    changes: list[Floats] = field(default_factory=list)
    curvatures: list[float] = field(default_factory=list)

    def learn(self, step: Floats, change: Floats) -> None:
        curvature = float(step @ change)
        if curvature > 1e-12 * float(step @ step):
            self.steps.append(step)
            self.changes.append(change)
            self.curvatures.append(curvature)
            del self.steps[:-MEMORY], self.changes[:-MEMORY], self.curvatures[:-MEMORY]

    def newton_step(self, gradient: Floats) -> Floats:
        """The inverse Hessian, as far as it is known, times the gradient."""
        if not self.steps:
            return 0.25 * gradient  # a pair in contact has the second derivative 4
        q = gradient.copy()
        shares = []
        for step, change, curvature in zip(self.steps[::-1], self.changes[::-1], self.curvatures[::-1], strict=True):
            share = float(step @ q) / curvature
            q -= share * change
            shares.append(share)
        q *= self.curvatures[-1] / float(self.changes[-1] @ self.changes[-1])
        for step, change, curvature, share in zip(self.steps, self.changes, self.curvatures, shares[::-1], strict=True):
            q += (share - float(change @ q) / curvature) * step
        return q
