"""So many of the best alone, without putting the others into words, are the first of all to the byte."""

from dataclasses import replace
from typing import Any

import msgspec
import pytest

from domain.common.kept import Kept
from domain.suitability.assess import assess
from domain.suitability.suitability_request import Weights
from tests.domain.suitability.test_other_ground import laid_on, undated
from tests.shared import catalogue, site

SITES: tuple[dict[str, Any], ...] = (
    {
        "latitude": 51.3,
        "longitude": 0.5,
        "observed_dates": [{"cultivar": "Discovery", "event": "full_bloom", "date": "2021-05-14"}],
    },
    {"latitude": -33.9, "longitude": 18.9, "ground": {"sun_hours": 4.5, "ph": 8.1, "salt_spray": True}},
    {"latitude": 65.0, "longitude": 25.0},
    {"latitude": 1.3, "longitude": 103.8},  # without a winter
)


@pytest.mark.parametrize("asked", SITES)
def test_the_best_alone_are_told_as_among_all(asked: dict[str, Any]) -> None:
    traits, weights = catalogue().advised, Weights(crop=1.0, quality=3.0)
    known = undated(site(**asked))

    def new() -> Any:
        return laid_on(replace(known, kept_alike=Kept()), site(**asked))

    every = assess(new(), traits, weights, evidence=True)
    for most in (1, 20, len(every) + 1):
        few = assess(new(), traits, weights, evidence=True, most=most)
        for one, same in zip(few, every, strict=False):
            assert one == same, (one.cultivar, most)
        assert msgspec.json.encode(few) == msgspec.json.encode(every[:most])


def test_more_or_all_may_be_asked_after() -> None:
    traits = catalogue().advised
    here = undated(site(latitude=47.1, longitude=15.5))
    few = assess(here, traits, most=5)
    more = assess(here, traits, most=12)
    assert few == more[:5]
    assert more == assess(here, traits)[:12]
