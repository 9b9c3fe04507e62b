"""Size of the tree that a rootstock makes, in percent of a tree on seedling, from every published word on it.

Published size comes in five kinds: percent of seedling; heights of garden trees; "similar to" or "slightly larger than"
another stock; trunk areas of stocks side by side in a trial; a size class. Each is one linear statement on the
logarithm of the size (a share of a seedling's height and spread), with its own error:

    log percent/100 = size          log height = size + h          size = size of the other + log ratio
    log trunk area  = trial + 2 size (area goes with the square of a length)          size = middle of the class

All sizes, the height of a seedling in a garden (h) and the level of each trial are solved together as one Gaussian
system; the posterior standard deviation is the spread. A class is used only where no measure is published, of
the stock itself or of one that it is compared with.
The errors (``parameters/adoption.csv``) were set by judgement from how far two sources on one stock lie apart.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np

from domain.adoption.reading import ROOTSTOCKS, Row, Spread, table
from domain.tables.cultivars import Estimate
from domain.tables.parameters import figures
from domain.tables.rootstock_observations import RootstockObservation

SEEDLING = "seedling"
GARDEN_HEIGHT = "garden_height"
_GARDEN = "height of a seedling"

AREA_EXPONENT = 2.0
_WIDE_LOG_MEAN, _WIDE_LOG_SPREAD = 1.5, 3.0
"""Prior of levels that the data settle alone: the height of a garden tree and the trunks of a trial."""


class SizeFigures(msgspec.Struct, frozen=True):
    """Errors of published sizes, as standard deviations of the logarithm, and what words of size mean."""

    percent_log_spread: float
    seedling_log_spread: float
    height_log_spread: float
    relative_log_spread: float
    trunk_log_spread: float
    trunk_range_log_spread: float
    prior_size_share: float
    prior_log_spread: float
    slightly_larger_ratio: float
    slightly_smaller_ratio: float
    larger_ratio: float
    very_dwarfing_share: float
    very_dwarfing_log_spread: float


FIGURES = figures("adoption", "rootstock_size", SizeFigures)


class SizeClass(Row, frozen=True, kw_only=True, rename={"name": "class"}):
    """A size class as a share of a tree on seedling, with the error of its logarithm."""

    name: str
    size_share: Spread
    log_spread: Spread


_NAME = r"(M+\.\d+|MM\.\d+|B\.\d+|G\.\d+|Ottawa 3|V\.\d+|seedling|Merton 793|Siberian crab)"
_SAME = (re.compile(rf"(?:similar to|the same as|closer to) {_NAME}"), re.compile(rf"^{_NAME} size class"))
_SLIGHTLY_LARGER = re.compile(rf"slightly larger than {_NAME}")
_SLIGHTLY_SMALLER = re.compile(rf"slightly (?:more dwarfing|smaller) than {_NAME}")
_LARGER_THAN = re.compile(rf"^larger than {_NAME}")
_SHARE = re.compile(rf"(\d+) percent as big as {_NAME}")
_LARGER = re.compile(rf"(\d+) percent (larger|smaller) than {_NAME}")
_BETWEEN = re.compile(rf"between {_NAME} and {_NAME}")
_VERY_DWARFING = re.compile("very dwarfing")


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
        mean, error = _WIDE_LOG_MEAN, _WIDE_LOG_SPREAD
        if name.startswith("stock "):
            mean, error = math.log(FIGURES.prior_size_share), FIGURES.prior_log_spread
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
            deviation=round(height * math.sqrt(covariance[h, h]), 2),
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
            deviation=round(value * math.sqrt(covariance[n, n]), 1),
            unit="percent of seedling",
            basis="computed",
            observations=len(told),
            sources=tuple(sorted({statement.source_id for statement in told}))[:12],
        )
    return sizes


def _statements(observations: Sequence[RootstockObservation]) -> list[_Statement]:
    by_printed_name = {o.name: o.rootstock_id for o in observations if o.is_rootstock}
    by_printed_name |= {"B.9": "bud-9"}
    sizes = {one.name: one for one in table("rootstock_size_classes", SizeClass, ("name",), ROOTSTOCKS)}
    statements = []
    classes = []
    for o in observations:
        if not o.is_rootstock:
            continue
        stock = f"stock {o.rootstock_id}"
        if o.trait == "size_percent" and o.low is not None and o.high is not None:
            error = math.hypot(FIGURES.percent_log_spread, _half_range(o.low, o.high))
            error = FIGURES.seedling_log_spread if o.rootstock_id == SEEDLING else error
            value = math.log(math.sqrt(o.low * o.high) / 100)
            statements.append(_Statement(((stock, 1.0),), value, error, o.rootstock_id, o.source_id))
        elif o.trait == "mature_height" and o.low is not None and o.high is not None:
            error = math.hypot(FIGURES.height_log_spread, _half_range(o.low, o.high))
            terms = ((stock, 1.0), (_GARDEN, 1.0))
            statements.append(
                _Statement(terms, math.log(math.sqrt(o.low * o.high)), error, o.rootstock_id, o.source_id)
            )
        elif o.trait == "trunk_area" and o.low and o.high:
            trial = f"trial {o.source_id} {o.locator.split(' ')[-1]}"
            terms = ((stock, AREA_EXPONENT), (trial, 1.0))
            error = AREA_EXPONENT * math.hypot(
                FIGURES.trunk_log_spread, 0.0 if o.low == o.high else FIGURES.trunk_range_log_spread
            )
            statements.append(
                _Statement(terms, math.log(math.sqrt(o.low * o.high)), error, o.rootstock_id, o.source_id)
            )
        elif o.trait == "size_relative":
            statements += _relative(o, by_printed_name)
        elif o.trait == "size_class" and o.published in sizes:
            size = sizes[o.published]
            value = math.log(size.size_share)
            classes.append(_Statement(((stock, 1.0),), value, size.log_spread, o.rootstock_id, o.source_id))
    known = _anchored(statements)
    return statements + [statement for statement in classes if statement.about not in known]


def _anchored(statements: Sequence[_Statement]) -> set[str]:
    """Stocks whose size rests on a measure: their own, or that of a stock they are compared with."""
    compared = [(one.about, {name for name, _ in one.terms} - {f"stock {one.about}"}) for one in statements]
    known: set[str] = set()
    while True:
        found = {
            stock
            for stock, others in compared
            if all(other.removeprefix("stock ") in known for other in others if other.startswith("stock "))
        }
        if found <= known:
            return known
        known |= found


def _relative(o: RootstockObservation, by_printed_name: dict[str, str]) -> list[_Statement]:
    """What the words say, of the first other stock of which the table knows anything."""
    patterns = (
        *((pattern, 1.0) for pattern in _SAME),
        (_SLIGHTLY_LARGER, FIGURES.slightly_larger_ratio),
        (_SLIGHTLY_SMALLER, FIGURES.slightly_smaller_ratio),
        (_LARGER_THAN, FIGURES.larger_ratio),
    )
    ratios = [(match[1], ratio) for pattern, ratio in patterns if (match := pattern.search(o.published))]
    if match := _SHARE.search(o.published):
        ratios = [(match[2], int(match[1]) / 100)]
    for percent, direction, other in _LARGER.findall(o.published):
        ratios.append((other, 1 + int(percent) / 100 * (1 if direction == "larger" else -1)))
    stock = f"stock {o.rootstock_id}"
    found = []
    if match := _BETWEEN.search(o.published):
        pair = [by_printed_name[name] for name in match.groups()]
        terms = ((stock, 1.0), *((f"stock {other}", -0.5) for other in pair))
        found.append(_Statement(terms, 0.0, FIGURES.relative_log_spread, o.rootstock_id, o.source_id))
    for other, ratio in ratios:
        if other in by_printed_name:
            terms = ((stock, 1.0), (f"stock {by_printed_name[other]}", -1.0))
            error = FIGURES.relative_log_spread * math.sqrt(len(ratios))
            found.append(_Statement(terms, math.log(ratio), error, o.rootstock_id, o.source_id))
    if not found and _VERY_DWARFING.search(o.published):
        value, error = math.log(FIGURES.very_dwarfing_share), FIGURES.very_dwarfing_log_spread
        found.append(_Statement(((stock, 1.0),), value, error, o.rootstock_id, o.source_id))
    return found


def _half_range(low: float, high: float) -> float:
    return math.log(high / low) / 2 if 0 < low < high else 0.0
