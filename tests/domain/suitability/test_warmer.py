"""What is to hold now and in a warmer climate is judged by the worse of the two."""

import msgspec
import pytest

from domain.orchard_site.conditions import SiteConditions
from domain.planting_list.list_request import PlantingListsRequest, Space
from domain.planting_list.planting_lists import planting_lists
from domain.site_climate.site import Site
from domain.suitability.factors import Verdict
from domain.suitability.suitabilities import suitabilities
from domain.suitability.suitability_request import SuitabilityRequest
from domain.suitability.warmer import worse_verdict
from tests.shared import catalogue, conditions

MILD_COAST = Site(latitude=34.4, longitude=-119.7, elevation_m=30)
BY_C = 2.0


def at(warming_c: float) -> SiteConditions:
    return conditions(msgspec.structs.replace(MILD_COAST, warming_c=warming_c))


@pytest.mark.parametrize(
    ("one", "other", "worse"),
    [
        ("plant", "worth_trying", "worth_trying"),
        ("not_here", "plant", "not_here"),
        ("not_known", "not_here", "not_known"),
    ],
)
def test_the_worse_verdict_is_told(one: Verdict, other: Verdict, worse: Verdict) -> None:
    assert worse_verdict(one, other) == worse_verdict(other, one) == worse


def test_rank_is_the_lower_of_both_and_the_warmer_judgement_stands_beside() -> None:
    def judged(warming_c: float) -> dict[str, float]:
        found = suitabilities(SuitabilityRequest(site=MILD_COAST), catalogue(), at(warming_c)).suitabilities
        return {one.id: one.rank_value or 0.0 for one in found}

    now, then = judged(0.0), judged(BY_C)
    asked = SuitabilityRequest(site=MILD_COAST, warmer_by_c=BY_C)
    answer = suitabilities(asked, catalogue(), at(0.0), at(BY_C))
    for verdict in ("plant", "worth_trying", "not_here"):
        ranks = [one.rank_value or 0.0 for one in answer.suitabilities if one.verdict == verdict]
        assert ranks == sorted(ranks, reverse=True)
    for one in answer.suitabilities:
        assert one.if_warmer is not None
        assert (one.rank_value or 0.0) == min(now[one.id], then[one.id])
    assert answer.assumptions[0].field == "warmer_by_c"


def test_a_list_that_is_to_hold_needs_less_chill() -> None:
    def need(warmer: float | None) -> float:
        asked = PlantingListsRequest(site=MILD_COAST, space=Space(tree_count=4), lists=1, warmer_by_c=warmer)
        answer = planting_lists(asked, catalogue(), at(0.0), at(BY_C) if warmer else None)
        trees = answer.planting_lists[0].trees
        return max(catalogue().tables.by_id[tree.id].numbers["chill_portions"].value for tree in trees)

    assert need(BY_C) <= need(None)
