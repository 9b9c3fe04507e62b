"""Months as lists of picking print them, and that the positions of picking are fitted once."""

from dataclasses import replace

import msgspec
import pytest

from domain.adoption import ripening_positions, steps
from domain.adoption.place_seasons import PlaceSeason
from domain.adoption.ripening_positions import month_window, readings_of
from domain.tables.cultivars import Estimate
from domain.tables.observations import Observation
from tests.domain.adoption.made_up import observed


@pytest.mark.parametrize(
    ("printed", "first", "last"),
    [("August", 213.0, 244.0), ("May to June", 121.0, 182.0), ("07..08", 182.0, 244.0),
     ("December to January", 335.0, 396.0), ("11..02", 305.0, 425.0)],
)  # fmt: skip
def test_a_window_of_months_ends_after_it_begins(printed: str, first: float, last: float) -> None:
    assert month_window(printed) == pytest.approx((first, last), abs=2.0)


def test_words_that_are_no_month_are_no_window() -> None:
    assert month_window("early") is None
    assert month_window("00..13") is None


def test_the_middle_of_a_window_of_the_south_is_half_a_year_away() -> None:
    """As a date of the same place is: February to March of the south is August to September."""
    north, south = (
        observed("x", "ripening_class", months, latitude=latitude, longitude=10.0, list_id="here")
        for months, latitude in (("August to September", 45.0), ("February to March", -45.0))
    )
    days = [entry.value for told in (north, south) for entry in readings_of([told])[0]]
    assert len(days) == 2
    assert days[0] == pytest.approx(days[1], abs=3.0)


def test_a_day_on_which_it_is_being_harvested_is_no_day_of_picking() -> None:
    told = observed(
        "x", "harvest_mid", "08-24", low=236.0, high=236.0, unit="day_of_year", latitude=45.0, longitude=10.0
    )
    assert readings_of([told])[0]
    assert not readings_of([msgspec.structs.replace(told, scheme="being harvested on the day of the report")])[0]


def test_a_document_that_says_a_window_twice_is_read_once() -> None:
    """In words without a place ("mid October") and in figures with one, which differ by a day."""
    words, later, placed, another = (
        observed(
            "x", "harvest_window", printed, low=low, high=high, unit="day_of_year", source_id=source, latitude=north
        )
        for printed, low, high, source, north in (
            ("mid October", 284.0, 293.0, "a", None),
            ("late October", 294.0, 303.0, "a", None),
            ("10-10..10-20", 283.0, 293.0, "a", 54.0),
            ("10-10..10-20", 283.0, 293.0, "b", 54.0),
        )
    )
    assert len(readings_of([words, placed])[0]) == 1
    assert len(readings_of([later, placed])[0]) == 2
    assert len(readings_of([words, another])[0]) == 2


def test_what_a_low_chill_cultivar_is_picked_early_for_its_bloom_is_no_part_of_its_position(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """At a place where its like blooms 60 days before the reference and is picked 40 before it."""
    season = PlaceSeason("here", 30.0, -90.0, 85.0, 240.0, 25.0, 200.0, 30.0)
    monkeypatch.setattr(ripening_positions, "season_of", lambda _: season)
    for trait, day, earlier in (("harvest_start", 170.0, 40.0), ("days_from_full_bloom", 110.0, -20.0)):
        told = [observed("x", trait, "", numbers=day, latitude=30.0, list_id="here")]
        (usual,), (low,) = (readings_of(told, {"x": share})[0] for share in (0.0, 1.0))
        assert low.value - usual.value == pytest.approx(earlier)


def test_picking_is_fitted_once_of_one_evidence(monkeypatch: pytest.MonkeyPatch) -> None:
    fits: list[int] = []

    def counted(told: tuple[Observation, ...], _: ripening_positions.KnownCultivars) -> dict[steps.Key, Estimate]:
        fits.append(len(told))
        return {}

    monkeypatch.setattr(ripening_positions, "adopt", counted)
    none = steps.Evidence(by_topic={}, cultivar_ids=(), sport_of={}, crab_apples=frozenset(), resolve=lambda name: name)
    steps.adopt(none, (steps._ripening, steps._fruit))
    assert len(fits) == 1
    steps.ripening_days(replace(none, by_topic={"ripening": ()}))
    assert len(fits) == 2
