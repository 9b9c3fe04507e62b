"""Ways to weigh several published values of one trait into one: with a prior and limits, without a prior, by votes."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.adoption.voices import agreed
from domain.common.distributions import normal_cdf
from domain.tables.cultivars import Basis, Estimate, Finding
from domain.tables.observations import Observation
from domain.tables.parameters import figures

Floats = NDArray[np.float64]

Read = tuple[float, float, Observation]
"""(value, error) that an observation means."""

FROM_MEMORY = "from-memory"
MOST_SOURCES = 12


class WeighingFigures(msgspec.Struct, frozen=True):
    """How often a published value is a gross error, and how flat its density then is."""

    gross_error_share: float
    gross_error_level: float


FIGURES = figures("adoption", "weighing", WeighingFigures)


@dataclass(frozen=True)
class Reading:
    """One published value on the trait's own scale: `error` is a standard deviation, `kind` how it was found.

    Readings of one kind share an error beside their own (a whole trade quotes one figure), given by kind to `settle`.
    """

    value: float
    error: float
    kind: str
    source_id: str


@dataclass(frozen=True)
class Bound:
    """A limit of the trait, soft by `error`: from above (`upper`) or from below. One region's limit counts once."""

    at: float
    error: float
    upper: bool
    region: str
    source_id: str


def by_cultivar(observations: Iterable[Observation], traits: frozenset[str]) -> dict[str, list[Observation]]:
    """The observations of these traits, gathered by cultivar in their own order."""
    found: defaultdict[str, list[Observation]] = defaultdict(list)
    for observation in observations:
        if observation.trait in traits:
            found[observation.cultivar_id].append(observation)
    return dict(found)


def by_document(readings: Sequence[Read]) -> list[Read]:
    """One reading of each document: the mean of its values and of their errors, with its first observation."""
    told: defaultdict[str, list[Read]] = defaultdict(list)
    for reading in readings:
        told[reading[2].source_id].append(reading)
    return [
        (sum(v for v, _, _ in several) / len(several), sum(e for _, e, _ in several) / len(several), several[0][2])
        for several in told.values()
    ]


def votes_of(named: Sequence[tuple[str, float, Observation]]) -> dict[str, float]:
    """Class -> weight of its votes: a document has one vote, shared by the classes that it names."""
    counts = Counter(observation.source_id for _, _, observation in named)
    votes: defaultdict[str, float] = defaultdict(float)
    for name, weight, observation in named:
        votes[name] += weight / counts[observation.source_id]
    return dict(votes)


def source_ids(observations: Iterable[Observation | Reading | Bound]) -> tuple[str, ...]:
    """The sources behind a value, each once, at most twelve."""
    return tuple(sorted({observation.source_id for observation in observations}))[:MOST_SOURCES]


def basis_of(sources: Iterable[str], otherwise: Basis = "published") -> Basis:
    """`from-memory` where no text was read at all, else the basis given."""
    found = set(sources)
    return "from-memory" if found and found <= {FROM_MEMORY} else otherwise


def settle(
    prior: tuple[float, float],
    readings: Sequence[Reading],
    bounds: Sequence[Bound],
    kind_error: Mapping[str, float],
    grid: Floats,
) -> tuple[float, float]:
    """Mean and standard deviation of a trait, given a normal prior (mean, spread), readings and soft bounds.

    Computed on a grid of the trait's values t. Readings of a kind are first averaged by their own errors, then carry
    the kind's shared error; every reading and bound may be a gross error, which keeps one bad list from ruling the
    rest. With g the share of gross errors and l their level, up to a constant

        log p(t) = log N(t; prior) + sum over kinds log((1 - g) exp(-z^2 / 2) + g l) + sum over regions
                   log((1 - g) F(z) + g)

    where z is (t - middle) / sqrt(shared^2 + own^2) for a kind, (limit - t) / error for a limit from above, its
    negative for one from below, and F the standard normal distribution function.
    """
    gross, level = FIGURES.gross_error_share, FIGURES.gross_error_level
    z = (grid - prior[0]) / prior[1]
    log_density = -0.5 * z * z
    kinds: defaultdict[str, list[Reading]] = defaultdict(list)
    for reading in readings:
        kinds[reading.kind].append(reading)
    for kind, group in sorted(kinds.items()):
        weights = np.array([reading.error**-2 for reading in group])
        middle = float(np.dot(weights, [reading.value for reading in group]) / weights.sum())
        error = math.hypot(kind_error[kind], float(weights.sum()) ** -0.5)
        z = (grid - middle) / error
        log_density += np.log((1.0 - gross) * np.exp(-0.5 * z * z) + gross * level)
    regions: defaultdict[tuple[bool, str], list[Bound]] = defaultdict(list)
    for bound in bounds:
        regions[bound.upper, bound.region].append(bound)
    for (upper, _), limits in sorted(regions.items()):
        at = float(np.mean([limit.at for limit in limits]))
        error = float(np.mean([limit.error for limit in limits]))
        z = (at - grid) / error if upper else (grid - at) / error
        log_density += np.log((1.0 - gross) * normal_cdf(z) + gross)
    density = np.exp(log_density - log_density.max())
    density /= density.sum()
    mean = float(np.dot(density, grid))
    return mean, float(math.sqrt(np.dot(density, (grid - mean) ** 2)))


def pooled(values: Sequence[float], errors: Sequence[float], floor: float) -> tuple[float, float]:
    """Weighted mean and its spread: the larger of formal error and scatter of the values, plus a floor.

    With w = 1 / error^2 and s = w / sum w: mean = sum s x; formal = 1 / sqrt(sum w);
    scatter = sqrt(sum s (x - mean)^2 sum s^2); spread = sqrt(max(formal, scatter)^2 + floor^2).
    """
    weights = np.array([error**-2 for error in errors])
    points = np.array(values)
    mean = float(np.dot(weights, points) / weights.sum())
    formal = float(weights.sum()) ** -0.5
    scatter = 0.0
    if len(points) > 1:
        share = weights / weights.sum()
        scatter = math.sqrt(float(np.dot(share, (points - mean) ** 2)) * float((share**2).sum()))
    return mean, math.hypot(max(formal, scatter), floor)


def middle(values: Sequence[float], errors: Sequence[float]) -> float:
    """Weighted median with the weights of `pooled`, linear between the middles of what each value holds of them.

    Of one value, and of two of equal weight, it is their mean.
    """
    order = np.argsort(values)
    weights = np.array([error**-2 for error in errors])[order]
    share = (np.cumsum(weights) - 0.5 * weights) / weights.sum()
    return float(np.interp(0.5, share, np.array(values)[order]))


def estimate(value: float, spread: float, unit: str, observations: Sequence[Observation], basis: Basis) -> Estimate:
    """An adopted number with the sources it stands on, rounded to what its spread allows."""
    digits = 3 if spread < 0.2 else 2 if spread < 2 else 1
    return Estimate(
        value=round(value, digits),
        deviation=round(max(spread, 10.0**-digits), digits),
        unit=unit,
        basis=basis,
        observations=len(observations),
        sources=source_ids(observations),
    )


def elected(votes: Mapping[str, float], observations: Sequence[Observation], conflicts: Iterable[str] = ()) -> Finding:
    """The class with most weight of votes, ties by name; agreement is its share, the other classes are conflicts."""
    total = sum(votes.values())
    best = max(sorted(votes), key=lambda name: votes[name])
    others = [f"{name} ({votes[name] / total:.2f})" for name in sorted(votes) if name != best]
    return Finding(
        value=best,
        agreement=agreed(votes[best] / total, (one.source_id for one in observations)),
        basis=basis_of(observation.source_id for observation in observations),
        observations=len(observations),
        sources=source_ids(observations),
        conflicts=(*others, *conflicts),
    )
