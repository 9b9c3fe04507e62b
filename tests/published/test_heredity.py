"""Ploidy against published lists of triploids, each list left out before the rest is asked.

Sources: Norton R. L., edited by D. Green, Cornell Cooperative Extension (fruit pollination); Ontario Ministry of
Agriculture, Crabapple pollenizers for apples; Triploida applen (Karnhuset, Sweden); NIAB Apple Best Practice Guide,
production of adequate quantities of viable pollen; extension.org, Pollinating apples; and laboratory calls: Migicovsky
Z. et al. 2021 (flow cytometry of the USDA collection), Kumar S. et al. 2021 (Journal of the American Society for
Horticultural Science 146:267-275).
"""

import functools

import pytest

from domain.adoption import genetics
from domain.tables.cultivars import Finding
from domain.tables.loading import load

TRIPLOIDS = {
    "Mutsu", "Jonagold", "Gravenstein", "Bramley's Seedling", "Belle de Boskoop", "Stayman", "Ribston Pippin",
    "Blenheim Orange", "Rhode Island Greening", "Baldwin", "Suntan", "Holstein", "Karmijn de Sonnaville",
    "Ashmead's Kernel", "Roxbury Russet", "Sir Prize", "Tompkins King", "Spigold", "Turley",
}  # fmt: skip
"""Named by the texts above; each must come out of all the evidence together."""

DIPLOIDS = ("Golden Delicious", "Gala", "Delicious", "McIntosh", "Cox's Orange Pippin", "Granny Smith", "Jonathan")
"""Parents of many crosses: common practice, no source."""

LISTS = ("norton-cornell", "ontario-crabs", "karnhuset-triploids", "niab-viable-pollen", "extension-org-pollinating")


@functools.cache
def ploidies(without: str = "") -> dict[tuple[str, str], Finding]:
    return genetics.ploidy([o for o in load().by_topic["pollination"] if o.source_id != without])


@pytest.mark.parametrize("name", sorted(TRIPLOIDS))
def test_known_triploids(name: str) -> None:
    tables = load()
    cultivar_id = tables.names.resolve(name)
    assert cultivar_id is not None
    found = genetics.adopt(tables.by_topic["pollination"], tables.names.resolve)
    assert found[cultivar_id, "ploidy"].value == "3"
    assert found[cultivar_id, "pollen"].value == "poor"


@pytest.mark.parametrize("name", DIPLOIDS)
def test_known_diploids(name: str) -> None:
    cultivar_id = load().names.resolve(name)
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
