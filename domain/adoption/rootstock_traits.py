"""Traits of rootstocks adopted from published words and numbers.

Every printed word has a score of its own scheme from 0 (bad for the grower) to 1 (good), in the table
`space/rootstock_words.csv`; a trait's score is their mean, its class the one whose range the mean falls in, and its
agreement the share of the words within a quarter of the mean. Words without a score carry none and are left out.
Years to the first crop come from published ranges; where none is published they follow the size of the tree (small
trees crop young), fitted to the stocks that have both, but never sooner than on the earliest published stock.

Hardiness is kept apart: of the roots, of the wood in midwinter, and of the wood in autumn before it has hardened. What
is said of a stock as a whole is its `hardiness`; where only its parts are known, they stand for the whole. One document
alone never makes a stock very hardy.
"""

import functools
import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from pathlib import Path

import msgspec
import numpy as np

from domain.adoption.reading import ROOTSTOCKS, Row, Share, table
from domain.adoption.rootstock_size import GARDEN_HEIGHT, SEEDLING, rootstock_sizes
from domain.tables.cultivars import Estimate, Finding
from domain.tables.parameters import figures
from domain.tables.rootstock_observations import RootstockObservation

_WORDS_OF_SOIL = ("drought", "wet_soil", "poor_soil")
_HARDINESS = "hardiness"
_PARTS_OF_HARDINESS = ("hardiness_root", "hardiness_wood", "hardiness_autumn")


class TraitFigures(msgspec.Struct, frozen=True):
    """When words agree, how many documents the best hardiness takes, how far years to the first crop may lie off."""

    agrees_within: float
    end_class_documents: int
    least_years_spread: float
    imputed_scatter_factor: float


FIGURES = figures("adoption", "rootstock_traits", TraitFigures)


class ClassLimit(Row, frozen=True, kw_only=True, rename={"name": "class"}):
    """A class of a trait and the least mean score of its words; the last class has none."""

    trait: str
    name: str
    least_score: Share | None = None


@functools.cache
def class_limits(directory: Path = ROOTSTOCKS) -> dict[str, tuple[tuple[float, str], ...]]:
    """Trait -> the least mean score of each class, best first."""
    found: defaultdict[str, list[tuple[float, str]]] = defaultdict(list)
    for one in table("rootstock_classes", ClassLimit, ("trait", "name"), directory):
        found[one.trait].append((-1.0 if one.least_score is None else one.least_score, one.name))
    return {trait: tuple(limits) for trait, limits in found.items()}


Traits = dict[tuple[str, str], Estimate | Finding]


class WordScore(msgspec.Struct, frozen=True, kw_only=True):
    """What a printed word of a scheme is worth: 0 bad to 1 good for the grower."""

    trait: str
    published: str
    score: float
    scheme: str = ""


def adopt(observations: Sequence[RootstockObservation], words: Sequence[WordScore]) -> Traits:
    """Adopted traits by (rootstock id, trait): size_percent, years_to_first_crop and the classes.

    Of seedling also garden_height (m) and spur_scion_ratio.
    """
    stocks = [o for o in observations if o.is_rootstock]
    sizes = rootstock_sizes(observations)
    garden = sizes.pop(GARDEN_HEIGHT)
    adopted: Traits = {(stock, "size_percent"): size for stock, size in sizes.items()}
    adopted |= {(stock, "years_to_first_crop"): years for stock, years in _years_to_first_crop(stocks, sizes).items()}
    adopted |= _classes(stocks, words)
    adopted[SEEDLING, GARDEN_HEIGHT] = garden
    adopted[SEEDLING, "spur_scion_ratio"] = spur_scion_ratio(observations)
    return adopted


def spur_scion_ratio(observations: Sequence[RootstockObservation]) -> Estimate:
    """Size of a tree of a spur-type scion as a share of that of another scion, over stocks that print both."""
    plain = _middles(observations, "size_percent")
    ratios, sources = [], set()
    for o in observations:
        other = plain.get((o.rootstock_id, o.source_id))
        if o.trait == "size_percent_spur_scion" and o.low is not None and other:
            ratios.append(o.low / other)
            sources.add(o.source_id)
    return Estimate(
        value=round(float(np.mean(ratios)), 3),
        deviation=round(float(np.std(ratios, ddof=1)), 3),
        unit="ratio",
        basis="published",
        observations=len(ratios),
        sources=tuple(sorted(sources)),
    )


def _middles(observations: Sequence[RootstockObservation], trait: str) -> dict[tuple[str, str], float]:
    return {
        (o.rootstock_id, o.source_id): (o.low + o.high) / 2
        for o in observations
        if o.trait == trait and o.low is not None and o.high is not None
    }


def _years_to_first_crop(stocks: Sequence[RootstockObservation], sizes: Mapping[str, Estimate]) -> dict[str, Estimate]:
    told: defaultdict[str, list[RootstockObservation]] = defaultdict(list)
    for o in stocks:
        if o.trait == "years_to_first_crop" and o.low is not None and o.high is not None:
            told[o.rootstock_id].append(o)
    middles = {stock: [((o.low or 0) + (o.high or 0)) / 2 for o in rows] for stock, rows in told.items()}
    means = {stock: float(np.mean(values)) for stock, values in middles.items()}
    both = sorted(stock for stock in means if stock in sizes)
    x = np.log([sizes[stock].value for stock in both])
    y = np.log([means[stock] for stock in both])
    slope, level = np.polyfit(x, y, 1)
    scatter = float(np.std(y - level - slope * x, ddof=2))
    adopted = {}
    for stock in sorted(set(means) | set(sizes)):
        if stock in means:
            half = max(((o.high or 0) - (o.low or 0)) / 2 for o in told[stock])
            error = max(FIGURES.least_years_spread, half, float(np.std(middles[stock])))
            sources = tuple(sorted({o.source_id for o in told[stock]}))
            adopted[stock] = Estimate(
                value=round(means[stock], 1), deviation=round(error, 1), unit="years", basis="published",
                observations=len(told[stock]), sources=sources,
            )  # fmt: skip
        else:
            years = max(math.exp(level + slope * math.log(sizes[stock].value)), min(means.values()))
            error = max(FIGURES.least_years_spread, FIGURES.imputed_scatter_factor * scatter * years)
            adopted[stock] = Estimate(value=round(years, 1), deviation=round(error, 1), unit="years", basis="imputed")
    return adopted


def _classes(stocks: Sequence[RootstockObservation], words: Sequence[WordScore]) -> Traits:
    score_of = {(word.trait, word.scheme, word.published): word.score for word in words}
    scored: defaultdict[tuple[str, str], list[tuple[float, str]]] = defaultdict(list)
    for o in stocks:
        for trait in _WORDS_OF_SOIL if o.trait == "soil" else (o.trait,):
            score = score_of.get((trait, o.scheme, o.published))
            if score is None and trait == "suckering" and o.low is not None:
                score = 1 / (1 + o.low)  # suckers a tree in five years: few below half a sucker, many above two
            if score is not None:
                scored[o.rootstock_id, trait].append((score, o.source_id))
    for stock in {stock for stock, _ in scored} - {stock for stock, trait in scored if trait == _HARDINESS}:
        if parts := [one for part in _PARTS_OF_HARDINESS for one in scored.get((stock, part), ())]:
            scored[stock, _HARDINESS] = parts
    adopted: Traits = {}
    for (stock, trait), found in sorted(scored.items()):
        mean = sum(score for score, _ in found) / len(found)
        agreeing = sum(abs(score - mean) <= FIGURES.agrees_within for score, _ in found)
        classes = [name for least, name in class_limits()[trait] if mean >= least]
        alone = trait.startswith(_HARDINESS) and len({source for _, source in found}) < FIGURES.end_class_documents
        adopted[stock, trait] = Finding(
            value=classes[1] if alone and len(classes) == len(class_limits()[trait]) else classes[0],
            agreement=round(agreeing / len(found), 2),
            basis="published",
            observations=len(found),
            sources=tuple(sorted({source for _, source in found}))[:12],
        )
    return adopted
