"""Adopted hardiness against published winters, each document left out before the rest is asked.

Sources: University of Maine Cooperative Extension, apple varieties suggested for zones 3 and 4; Borecki Z. 1990 (winter
of 1986-87 in Poland); Peters, University of Saskatchewan, apples of the prairies; all as listed in ``sources.csv``; the
garden at Fairbanks in case_sources.csv. Which cultivars stand the prairie and which only mild winters is common
practice, no source.
"""

import functools

import numpy as np
import pytest
from scipy.stats import spearmanr

from domain.adoption import adaptation, hardiness
from domain.tables.cultivars import Estimate
from domain.tables.loading import load
from tests.published.cases import cases

TRAIT = hardiness.TRAIT
FAIRBANKS = "winter_of_1990_fairbanks.csv"


@functools.cache
def without(source_id: str = "", *, remembered: bool = True) -> dict[tuple[str, str], Estimate]:
    """Adopted without a document and, if not `remembered`, without hardiness zones of general knowledge."""
    tables = load()
    observations = [
        o
        for topic in ("fruit", "growth")
        for o in tables.by_topic[topic]
        if o.source_id != source_id and (remembered or o.source_id != "from-memory" or o.trait not in hardiness.TRAITS)
    ]
    crabs = frozenset(cultivar.id for cultivar in tables.cultivars if cultivar.kind == "crab_apple")
    groups = adaptation.groups(adaptation.adopt(observations, tables.by_id, crabs), tables.by_id)
    return hardiness.adopt(observations, groups)


def test_zone_three_and_zone_four_lists_are_told_apart_without_them() -> None:
    adopted = without("umaine-varieties", remembered=False)
    listed = [o for o in load().by_topic["growth"] if o.source_id == "umaine-varieties" and o.trait == "hardiness_zone"]
    three = [adopted[o.cultivar_id, TRAIT].value for o in listed if o.low == 3.0]
    four = [adopted[o.cultivar_id, TRAIT].value for o in listed if o.low == 4.0]
    print(
        f"hardiness without its list: zone 3 mean {sum(three) / len(three):.1f} C, zone 4 {sum(four) / len(four):.1f} C"
    )
    assert len(three) >= 8
    assert len(four) >= 5
    assert sum(three) / len(three) < sum(four) / len(four) - 1.0


def test_killed_in_poland_is_tenderer_than_unhurt_without_it() -> None:
    adopted = without("borecki-1990", remembered=False)
    told = [o for o in load().by_topic["growth"] if o.source_id == "borecki-1990"]
    killed = [adopted[o.cultivar_id, TRAIT].value for o in told if o.published == "low"]
    unhurt = [adopted[o.cultivar_id, TRAIT].value for o in told if o.published == "high"]
    assert killed
    assert unhurt
    assert sum(killed) / len(killed) > sum(unhurt) / len(unhurt) + 0.5


@pytest.mark.parametrize("name", ["Haralson", "Goodland", "Heyer 12", "Honeycrisp", "Duchess of Oldenburg", "Wealthy"])
def test_prairie_apples_are_hardy(name: str) -> None:
    cultivar_id = load().names.resolve(name)
    assert cultivar_id is not None
    assert without()[cultivar_id, TRAIT].value < -35.0


@pytest.mark.parametrize("name", ["Granny Smith", "Cripps Pink", "Braeburn", "Anna", "Dorsett Golden"])
def test_apples_of_mild_winters_are_tender(name: str) -> None:
    cultivar_id = load().names.resolve(name)
    assert cultivar_id is not None
    assert without()[cultivar_id, TRAIT].value > -28.0


def test_who_stood_the_winter_of_1990_at_fairbanks_is_hardier_than_who_was_killed() -> None:
    """One garden in which the snow saved some, so the order is loose: correlation of what died with the figure."""
    adopted = without()
    told = [(float(case["killed_percent"]), adopted[case["cultivar_id"], TRAIT]) for case in cases(FAIRBANKS)]
    killed, figure = zip(*((share, one.value) for share, one in told if one.basis != "imputed"), strict=True)
    order = float(spearmanr(killed, figure).statistic)
    unhurt = np.mean([value for share, value in zip(killed, figure, strict=True) if share == 0.0])
    half = np.mean([value for share, value in zip(killed, figure, strict=True) if share >= 40.0])
    print(
        f"Fairbanks 1990, n = {len(killed)}: rho {order:.2f}, unhurt {unhurt:.1f} C, 40 % and more killed {half:.1f} C"
    )
    assert len(killed) >= 30
    assert order > 0.2
    assert unhurt < half - 2.0
