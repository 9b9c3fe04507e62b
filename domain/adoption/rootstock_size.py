"""Size of the tree that a rootstock makes, in percent of a tree on seedling, from every published word on it.

Published size comes in five kinds: percent of seedling; heights of garden trees; "similar to" or "slightly larger than"
another stock; trunk areas of stocks side by side in a trial; a size class. Each is one linear statement on the
logarithm of the size (a share of a seedling's height and spread), with its own error:

    log percent/100 = size          log height = size + h          size = size of the other + log ratio
    log trunk area  = trial + 2 size (area goes with the square of a length)          size = middle of the class

All sizes, the height of a seedling in a garden (h) and the level of each trial are solved together as one Gaussian
system; the posterior standard deviation is the spread. A class is used only where nothing better is published.
The errors below were set by judgement from how far two sources on one stock lie apart; common practice, no source.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from domain.tables.cultivars import Estimate
from domain.tables.rootstock_observations import RootstockObservation

SEEDLING = "seedling"
GARDEN_HEIGHT = "garden_height"
_GARDEN = "height of a seedling"

PERCENT_ERROR = 0.15
HEIGHT_ERROR = 0.22
RELATIVE_ERROR = 0.15
TRUNK_ERROR = 0.15
PRIOR_MEAN, PRIOR_ERROR = math.log(0.5), 0.6
AREA_EXPONENT = 2.0

CLASS_SIZES = {"dwarf": (0.42, 0.25), "semi-dwarf": (0.65, 0.2), "standard": (0.95, 0.1)}
"""Middle and error (of the logarithm) of the size classes of Extension Foundation, "Understanding Apple Tree Size":
dwarf 30 to 60 and semi-dwarf 60 to 90 percent of standard."""

_NAME = r"(M+\.\d+|MM\.\d+|B\.\d+|G\.\d+|Ottawa 3|V\.\d+|seedling)"
_PATTERNS: tuple[tuple[re.Pattern[str], float], ...] = (
    (re.compile(rf"(?:similar to|the same as|closer to) {_NAME}"), 1.0),
    (re.compile(rf"^{_NAME} size class"), 1.0),
    (re.compile(rf"slightly larger than {_NAME}"), 1.08),
    (re.compile(rf"slightly (?:more dwarfing|smaller) than {_NAME}"), 0.92),
)
_SHARE = re.compile(rf"(\d+) percent as big as {_NAME}")
_LARGER = re.compile(rf"(\d+) percent (larger|smaller) than {_NAME}")
_BETWEEN = re.compile(rf"between {_NAME} and {_NAME}")
_VERY_DWARFING = re.compile("very dwarfing")
VERY_DWARFING_SIZE = (0.27, 0.3)


@dataclass(frozen=True)
class _Statement:
    """sum(coefficient x unknown) = value, give or take the error."""

    terms: tuple[tuple[str, float], ...]
    value: float
    error: float
    about: str
    source_id: str


def rootstock_sizes(observations: Sequence[RootstockObservation]) -> dict[str, Estimate]:
    """Percent of seedling by rootstock id, of every stock of which any size is published.

    Under the key GARDEN_HEIGHT stands the height (m) of a pruned garden tree on seedling.
    """
    statements = _statements(observations)
    unknowns = sorted({name for statement in statements for name, _ in statement.terms})
    column = {name: n for n, name in enumerate(unknowns)}
    precision = np.zeros((len(unknowns), len(unknowns)))
    right = np.zeros(len(unknowns))
    for name, n in column.items():
        mean, error = (PRIOR_MEAN, PRIOR_ERROR) if name.startswith("stock ") else (1.5, 3.0)
        precision[n, n] += error**-2
        right[n] += mean * error**-2
    for statement in statements:
        row = np.zeros(len(unknowns))
        for name, coefficient in statement.terms:
            row[column[name]] += coefficient
        precision += np.outer(row, row) / statement.error**2
        right += row * statement.value / statement.error**2
    covariance = np.linalg.inv(precision)
    mean_log = covariance @ right
    sizes = {}
    if _GARDEN in column:
        h = column[_GARDEN]
        height = math.exp(mean_log[h])
        told = [statement for statement in statements if any(name == _GARDEN for name, _ in statement.terms)]
        sizes[GARDEN_HEIGHT] = Estimate(
            value=round(height, 2),
            spread=round(height * math.sqrt(covariance[h, h]), 2),
            unit="m",
            basis="computed",
            observations=len(told),
            sources=tuple(sorted({statement.source_id for statement in told}))[:12],
        )
    for stock in sorted({statement.about for statement in statements}):
        n = column[f"stock {stock}"]
        value = 100 * math.exp(mean_log[n])
        told = [statement for statement in statements if statement.about == stock]
        sizes[stock] = Estimate(
            value=round(value, 1),
            spread=round(value * math.sqrt(covariance[n, n]), 1),
            unit="percent of seedling",
            basis="computed",
            observations=len(told),
            sources=tuple(sorted({statement.source_id for statement in told}))[:12],
        )
    return sizes


def _statements(observations: Sequence[RootstockObservation]) -> list[_Statement]:
    by_printed_name = {o.name: o.rootstock_id for o in observations if o.is_rootstock}
    by_printed_name |= {"B.9": "bud-9"}
    statements = []
    classes = []
    for o in observations:
        if not o.is_rootstock:
            continue
        stock = f"stock {o.rootstock_id}"
        if o.trait == "size_percent" and o.low is not None and o.high is not None:
            error = 0.02 if o.rootstock_id == SEEDLING else math.hypot(PERCENT_ERROR, _half_range(o.low, o.high))
            value = math.log(math.sqrt(o.low * o.high) / 100)
            statements.append(_Statement(((stock, 1.0),), value, error, o.rootstock_id, o.source_id))
        elif o.trait == "mature_height" and o.low is not None and o.high is not None:
            error = math.hypot(HEIGHT_ERROR, _half_range(o.low, o.high))
            terms = ((stock, 1.0), (_GARDEN, 1.0))
            statements.append(
                _Statement(terms, math.log(math.sqrt(o.low * o.high)), error, o.rootstock_id, o.source_id)
            )
        elif o.trait == "trunk_area" and o.low and o.high:
            trial = f"trial {o.source_id} {o.locator.split(' ')[-1]}"
            terms = ((stock, AREA_EXPONENT), (trial, 1.0))
            error = AREA_EXPONENT * math.hypot(TRUNK_ERROR, 0.0 if o.low == o.high else 0.1)
            statements.append(
                _Statement(terms, math.log(math.sqrt(o.low * o.high)), error, o.rootstock_id, o.source_id)
            )
        elif o.trait == "size_relative":
            statements += _relative(o, by_printed_name)
        elif o.trait == "size_class" and o.published in CLASS_SIZES:
            size, error = CLASS_SIZES[o.published]
            classes.append(_Statement(((stock, 1.0),), math.log(size), error, o.rootstock_id, o.source_id))
    known = {statement.about for statement in statements}
    return statements + [statement for statement in classes if statement.about not in known]


def _relative(o: RootstockObservation, by_printed_name: dict[str, str]) -> list[_Statement]:
    """What the words say, of the first other stock of which the table knows anything."""
    ratios = [(match[1], ratio) for pattern, ratio in _PATTERNS if (match := pattern.search(o.published))]
    if match := _SHARE.search(o.published):
        ratios = [(match[2], int(match[1]) / 100)]
    for percent, direction, other in _LARGER.findall(o.published):
        ratios.append((other, 1 + int(percent) / 100 * (1 if direction == "larger" else -1)))
    stock = f"stock {o.rootstock_id}"
    found = []
    if match := _BETWEEN.search(o.published):
        pair = [by_printed_name[name] for name in match.groups()]
        terms = ((stock, 1.0), *((f"stock {other}", -0.5) for other in pair))
        found.append(_Statement(terms, 0.0, RELATIVE_ERROR, o.rootstock_id, o.source_id))
    for other, ratio in ratios:
        if other in by_printed_name:
            terms = ((stock, 1.0), (f"stock {by_printed_name[other]}", -1.0))
            error = RELATIVE_ERROR * math.sqrt(len(ratios))
            found.append(_Statement(terms, math.log(ratio), error, o.rootstock_id, o.source_id))
    if not found and _VERY_DWARFING.search(o.published):
        size, error = VERY_DWARFING_SIZE
        found.append(_Statement(((stock, 1.0),), math.log(size), error, o.rootstock_id, o.source_id))
    return found


def _half_range(low: float, high: float) -> float:
    return math.log(high / low) / 2 if 0 < low < high else 0.0
