"""Adopted chill requirements against published ones, each text left out before the rest is asked.

Sources: University of Florida IFAS, Apples (Gardening Solutions): apples for central and north Florida. Pope K.
(compiler), Crop chill portions requirements, University of California, apple row (50 portions, citing Erez 2000).
Jackson, Biology of Apples and Pears, 2003, p. 57: low and high chill cultivars (citing Hauagge and Cummins 1991).
Andersen and others, University of Florida IFAS HS764: temperate cultivars whose need north Florida does not meet.
"""

import functools

import numpy as np
import pytest

from domain.adoption import adaptation, chill_needs
from domain.adoption.weighing import Reading
from domain.tables.cultivars import Estimate
from domain.tables.loading import load

TRAIT = chill_needs.TRAIT
FLORIDA = "uf-low-chill"
LOW = ("anna", "dorsett-golden")
HIGH = ("delicious", "mcintosh")


@functools.cache
def groups() -> dict[str, str]:
    tables = load()
    crabs = frozenset(cultivar.id for cultivar in tables.cultivars if cultivar.kind == "crab_apple")
    told_of = sorted({o.cultivar_id for o in tables.by_topic["chill"]})
    return adaptation.groups(adaptation.adopt(tables.by_topic["fruit"], told_of, crabs), told_of)


@functools.cache
def without(source_id: str) -> dict[tuple[str, str], Estimate]:
    return chill_needs.adopt([o for o in load().by_topic["chill"] if o.source_id != source_id], groups())


def test_cultivars_of_florida_need_far_less_than_golden_delicious() -> None:
    needs = without(FLORIDA)
    golden = needs["golden-delicious", TRAIT].value
    for cultivar_id in (*LOW, "ein-shemer"):
        assert needs[cultivar_id, TRAIT].value < golden - 15.0


def test_low_and_high_chill_cultivars_of_the_handbook_stay_apart_without_it() -> None:
    needs = without("jackson-2003")
    assert max(needs[low, TRAIT].value for low in LOW) < min(needs[high, TRAIT].value for high in HIGH) - 20.0


def test_golden_delicious_in_portions() -> None:
    need = without("uc-crop-chill-pope")["golden-delicious", TRAIT]
    assert abs(need.value - 50.0) < 1.5 * need.deviation


@pytest.mark.parametrize("cultivar_id", ["golden-delicious", "delicious", "gala", "mcintosh"])
def test_what_north_florida_does_not_chill_needs_more_than_north_florida_has(cultivar_id: str) -> None:
    assert without("ifas-hs764")[cultivar_id, TRAIT].value > 37.0


def test_each_document_left_out_is_told_better_by_the_others_than_by_the_group() -> None:
    told, adopted, prior = [], [], []
    observations = [o for o in load().by_topic["chill"] if o.trait in chill_needs.TRAITS]
    for source_id in sorted({o.source_id for o in observations}):
        needs = without(source_id)
        for one in observations:
            sign = chill_needs.signs(one)
            if one.source_id == source_id and isinstance(sign, Reading):
                need = needs[one.cultivar_id, TRAIT]
                if need.basis != "imputed":
                    told.append(sign.value)
                    adopted.append(need.value)
                    prior.append(adaptation.GROUPS[groups()[one.cultivar_id]].chill_portions[0])
    ours = float(np.abs(np.subtract(told, adopted)).mean())
    group = float(np.abs(np.subtract(told, prior)).mean())
    constant = float(np.abs(np.subtract(told, np.median(told))).mean())
    print(
        f"chill, document left out: n = {len(told)}, error {ours:.1f} portions; group {group:.1f}; one {constant:.1f}"
    )
    assert len(told) >= 30
    assert ours < 0.8 * group
    assert ours < 0.8 * constant
