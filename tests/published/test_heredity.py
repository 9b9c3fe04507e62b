"""Ploidy against published lists of triploids, each list left out before the rest is asked.

Sources: Norton R. L., edited by D. Green, Cornell Cooperative Extension (fruit pollination); Ontario Ministry of
Agriculture, Crabapple pollenizers for apples; Triploida applen (Karnhuset, Sweden); NIAB Apple Best Practice Guide,
production of adequate quantities of viable pollen; extension.org, Pollinating apples; and laboratory calls: Migicovsky
Z. et al. 2021 (flow cytometry of the USDA collection), Kumar S. et al. 2021 (Journal of the American Society for
Horticultural Science 146:267-275).
"""

import functools

from domain.adoption import genetics
from domain.tables.cultivars import Finding
from domain.tables.loading import load
from tests.published.cases import Case, parametrized

LISTS = ("norton-cornell", "ontario-crabs", "karnhuset-triploids", "niab-viable-pollen", "extension-org-pollinating")


@functools.cache
def heredity() -> dict[tuple[str, str], Finding]:
    return genetics.adopt(load().by_topic["pollination"], load().names.resolve)


@functools.cache
def ploidies(without: str = "") -> dict[tuple[str, str], Finding]:
    return genetics.ploidy([o for o in load().by_topic["pollination"] if o.source_id != without])


@parametrized("ploidies.csv", lambda case: case["cultivar"], lambda case: case["truth"] == "3")
def test_known_triploids(case: Case) -> None:
    tables = load()
    cultivar_id = tables.names.resolve(case["cultivar"])
    assert cultivar_id is not None
    found = heredity()
    assert found[cultivar_id, "ploidy"].value == "3"
    assert found[cultivar_id, "pollen"].value == "poor"


@parametrized("ploidies.csv", lambda case: case["cultivar"], lambda case: case["truth"] == "2")
def test_known_diploids(case: Case) -> None:
    cultivar_id = load().names.resolve(case["cultivar"])
    assert cultivar_id is not None
    assert ploidies()[cultivar_id, "ploidy"].value == "2"


def test_lists_of_triploids_are_told_by_the_other_texts() -> None:
    right, tried = 0, 0
    for source_id in LISTS:
        rest = ploidies(source_id)
        for one in load().by_topic["pollination"]:
            if one.trait == "ploidy" and one.source_id == source_id and (one.cultivar_id, "ploidy") in rest:
                tried += 1
                right += rest[one.cultivar_id, "ploidy"].value == one.published
    print(f"ploidy, list of triploids left out: {right} of {tried} as listed")
    assert tried >= 25
    assert right >= 0.9 * tried


def test_flow_cytometry_left_out_agrees_with_the_other_calls() -> None:
    rest = ploidies("usda-flow-ploidy")
    calls = [
        (one.published, rest[one.cultivar_id, "ploidy"].value)
        for one in load().by_topic["pollination"]
        if one.trait == "ploidy" and one.source_id == "usda-flow-ploidy" and (one.cultivar_id, "ploidy") in rest
    ]
    right = sum(told == found for told, found in calls)
    print(f"ploidy by flow cytometry left out: {right} of {len(calls)} as called")
    assert len(calls) >= 60
    assert right >= 0.9 * len(calls)
