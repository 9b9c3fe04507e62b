"""Adopted tolerances against each document in turn, left out before the rest is asked.

Sources: Yoder K. S., Biggs A. R., Table of apple scab resistant cultivar susceptibility to other diseases (West
Virginia University); Biggs A. R. et al., Relative susceptibility of selected apple cultivars to apple scab caused by
Venturia inaequalis, 2010 (McIntosh the susceptible standard); and all texts of the tables that rate the four diseases.
"""

from collections import defaultdict

import numpy as np
import pytest
from scipy.stats import spearmanr

from domain.adoption import tolerances
from domain.adoption.weighing import pooled
from domain.tables.cultivars import Estimate
from domain.tables.loading import load
from domain.tables.observations import Observation

RESISTANT = ("liberty", "prima", "enterprise", "goldrush", "freedom", "redfree", "williams-pride", "florina")
SUSCEPTIBLE = ("mcintosh", "gala", "fuji", "cripps-pink", "ginger-gold")


def observations() -> list[Observation]:
    return [o for topic in ("disease", "fruit", "growth") for o in load().by_topic[topic]]


def scab_without(*source_ids: str) -> dict[str, float]:
    adopted = tolerances.adopt([o for o in observations() if o.source_id not in source_ids])
    return {
        cultivar_id: estimate.value
        for (cultivar_id, trait), estimate in adopted.items()
        if trait == "susceptibility_scab" and isinstance(estimate, Estimate)
    }


def test_scab_resistant_cultivars_stand_below_the_susceptible_ones() -> None:
    scab = scab_without("wvu-scab-resistant", "biggs-2010-scab")
    resistant = [scab[cultivar_id] for cultivar_id in RESISTANT if cultivar_id in scab]
    susceptible = [scab[cultivar_id] for cultivar_id in SUSCEPTIBLE if cultivar_id in scab]
    assert len(resistant) >= 6
    assert len(susceptible) >= 3
    assert max(resistant) < min(susceptible) - 0.25


COLLECTION = "grin-fire-blight-2002"
"""Seen on each tree of a collection in ten years: half are of the last class, so it is asked apart from the texts."""


def left_out(disease: str, collection: bool = False) -> tuple[int, float, float, float]:
    """(n, rank correlation, mean error, the error of predicting the mean of the rest) over documents left out.

    collection: the collection is left out and foretold, instead of every other document. These never have it at hand:
    what its classes are worth was set by their means.
    """
    ratings = tolerances.ratings(observations())[disease]
    told, adopted, mean = [], [], []
    for source_id in sorted({one.source_id for one in ratings if (one.source_id == COLLECTION) == collection}):
        rest = [one for one in ratings if one.source_id not in (source_id, COLLECTION)]
        errors = tolerances.source_errors(rest)
        groups: defaultdict[str, list[tolerances.Rated]] = defaultdict(list)
        for one in rest:
            groups[one.cultivar_id].append(one)
        average = float(np.mean([one.value for one in rest]))
        for one in ratings:
            if one.source_id == source_id and one.cultivar_id in groups:
                group = groups[one.cultivar_id]
                value, _ = pooled([o.value for o in group], [errors[o.source_id] for o in group], 0.0)
                told.append(one.value)
                adopted.append(value)
                mean.append(average)
    ours = float(np.abs(np.subtract(told, adopted)).mean())
    return len(told), float(spearmanr(told, adopted).statistic), ours, float(np.abs(np.subtract(told, mean)).mean())


@pytest.mark.parametrize(
    ("disease", "least_correlation"),
    [("scab", 0.55), ("fire_blight", 0.65), ("powdery_mildew", 0.55), ("cedar_apple_rust", 0.6)],
)
def test_each_document_left_out_is_told_by_the_others(disease: str, least_correlation: float) -> None:
    n, correlation, ours, constant = left_out(disease)
    print(f"{disease}, document left out: n = {n}, rho {correlation:.2f}, error {ours:.3f}, mean {constant:.3f}")
    assert n >= 60
    assert correlation > least_correlation
    assert ours < 0.7 * constant


def test_a_collection_under_natural_attack_agrees_with_the_texts() -> None:
    """Forsline and Aldwinckle 2002: classes of shoot blight at Geneva, foretold from all other documents.

    Its classes span half of the scale, so only their order is asked.
    """
    n, correlation, _, _ = left_out("fire_blight", collection=True)
    print(f"collection of Geneva: n = {n}, rho {correlation:.2f}")
    assert n >= 150
    assert correlation > 0.35


@pytest.mark.fitted_on
def test_what_the_collection_alone_tells_is_better_than_the_mean() -> None:
    """Values of other documents on cultivars that the collection alone would tell: nearer than the mean of all.

    What its classes are worth was set by the means of these documents.
    """
    ratings = tolerances.ratings(observations())["fire_blight"]
    seen = {one.cultivar_id: one.value for one in ratings if one.source_id == COLLECTION}
    others = [one for one in ratings if one.source_id != COLLECTION]
    asked = [one for one in others if one.cultivar_id in seen]
    average = float(np.mean([one.value for one in others]))
    ours = float(np.mean([abs(one.value - seen[one.cultivar_id]) for one in asked]))
    constant = float(np.mean([abs(one.value - average) for one in asked]))
    print(f"told by the collection: n = {len(asked)}, error {ours:.3f}, mean {constant:.3f}")
    assert len(asked) >= 150
    assert ours < 0.95 * constant
