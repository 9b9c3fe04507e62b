"""A planting is judged alike whether it is the first at its place or one of many: byte for byte."""

from dataclasses import replace

import msgspec
import pytest

from domain.common.kept import Kept
from domain.orchard_site.conditions import SiteConditions
from domain.reviews.cultivars_here import JUDGED_APART, own_cultivars, to_choose_from, told_of
from domain.reviews.review_request import PlantingListReviewRequest
from domain.reviews.reviews import review
from tests import shared

SITES = [
    {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40},
    {"latitude": -7.9, "longitude": 112.5, "elevation_m": 1300},
]
PLANTINGS = [
    ["Bramley's Seedling", "Discovery"],
    ["Gravenstein"],
    ["Fuji", "Granny Smith", "Gala"],
]
OTHER = ["James Grieve"]


def asked(names: list[str], site: dict[str, float]) -> PlantingListReviewRequest:
    trees = [
        {
            "cultivar": name,
            "complaints": ["bloom_but_no_fruit"],
            "at": [site["longitude"] + n * 7e-5, site["latitude"]],
            "seen": [{"event": "first_ripe", "date": "2026-07-01"}],
        }
        for n, name in enumerate(names)
    ]
    return msgspec.convert({"site": site, "trees": trees, "as_of": "2026-11-29"}, PlantingListReviewRequest)


def answered(request: PlantingListReviewRequest, conditions: SiteConditions) -> bytes:
    return msgspec.json.encode(review(request, shared.catalogue(), conditions))


@pytest.mark.parametrize("site", SITES, ids=["Kent", "Malang"])
@pytest.mark.parametrize("names", PLANTINGS, ids=lambda names: names[0])
def test_a_planting_is_judged_alike_first_and_later(site: dict[str, float], names: list[str]) -> None:
    request, before = asked(names, site), asked(OTHER, site)
    first, later = (replace(shared.conditions(request.site)) for _ in range(2))  # each with a memory of its own
    answered(before, later)
    assert answered(request, first) == answered(request, later)


def test_the_first_planting_of_a_place_is_judged_by_its_own_cultivars() -> None:
    catalogue, site = shared.catalogue(), asked(OTHER, SITES[0]).site
    conditions = replace(shared.conditions(site))
    few = own_cultivars(frozenset({"gala", "fuji"}), False, catalogue, conditions)
    assert {one.id for one in few.here.sited.cultivars} == {"gala", "fuji"}
    many = own_cultivars(frozenset({"gala"}), False, catalogue, conditions)
    assert len(many.here.sited.cultivars) > 700


def test_few_do_not_push_out_what_all_have_in_common_with_other_ground() -> None:
    """Neither plantings judged by their own few nor those taken from blocks touch the memory of the same years."""
    catalogue = shared.catalogue()
    conditions = replace(shared.conditions(asked(OTHER, SITES[0]).site), kept_alike=Kept())
    told_of(to_choose_from(catalogue, conditions), conditions)
    before = conditions.kept_alike.edition
    assert before > 0
    listed = [one.id for one in catalogue.traits.cultivars if one.status != "advised"][:: 2 * JUDGED_APART]
    for each in listed[: 2 * JUDGED_APART + 2]:
        own = own_cultivars(frozenset({each}), False, catalogue, conditions)
        assert own.fit
        assert own.conditions.kept_alike is not conditions.kept_alike
    assert conditions.kept_alike.edition == before


def test_cultivars_that_are_not_advised_are_judged_alike_apart_and_among_their_like() -> None:
    """From the fourth such planting on they are taken from blocks; fits and complaints follow."""
    catalogue = shared.catalogue()
    listed = [one.name for one in catalogue.traits.cultivars if one.status != "advised"][::400]
    advised = ["Discovery", "James Grieve", "Bramley's Seedling"]
    plantings = [[listed[n], advised[n % 3], listed[(n + 1) % len(listed)]] for n in range(len(listed))]
    for site in SITES:
        conditions = replace(shared.conditions(asked(OTHER, site).site))
        later = [answered(asked(names, site), conditions) for names in plantings]
        assert len(later) > JUDGED_APART + 2
        for names, told in zip(plantings, later, strict=True):
            assert answered(asked(names, site), replace(shared.conditions(asked(OTHER, site).site))) == told, names
