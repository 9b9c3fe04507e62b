"""Jobs by group, place and age of the trees; what is ripe and what keeps on one day."""

import itertools
from functools import cache

import numpy as np
import pytest

from domain.common.faults import ContentFaults
from domain.common.season_days import season_day
from domain.fruit.regions import lives_at
from domain.site_climate.site import Site
from domain.year_of_work.calendar_answer import OnThisDay, SeasonCalendars, SeasonCalendarsRequest
from domain.year_of_work.calendars import season_calendars
from domain.year_of_work.work import bloom_groups
from tests import shared

CORDOBA = Site(latitude=37.9, longitude=-4.8, elevation_m=110)
NORMANDY = Site(latitude=49.4, longitude=1.1, elevation_m=60)
MANITOBA = Site(latitude=49.85, longitude=-99.95, elevation_m=400)
ONTARIO = Site(latitude=44.3, longitude=-78.3, elevation_m=200)
TASMANIA = Site(latitude=-43.0, longitude=147.0, elevation_m=60)
ELGIN = Site(latitude=-34.15, longitude=19.03, elevation_m=300)
"""Dry in summer, and yet more rain days than what words call dry: its rain falls in winter."""


@cache
def told(site: Site, *names: str, on: str | None = None) -> SeasonCalendars:
    asked = SeasonCalendarsRequest(site=site, cultivars=list(names), on=on)
    return season_calendars(asked, shared.catalogue(), shared.conditions(site))


def day(site: Site, *names: str, on: str) -> OnThisDay:
    found = told(site, *names, on=on).on_this_day
    assert found is not None
    return found


@pytest.mark.parametrize("job", ["brush_trunks", "winter_pruning", "take_off_mummies", "tear_out_water_shoots"])
def test_work_on_limbs_minds_ladders(job: str) -> None:
    found = [one for one in told(CORDOBA, "Gala").work if one.job == job]
    assert found
    assert all("ladders" in one.cautions for one in found)


def test_cultivars_weeks_apart_have_windows_of_their_own() -> None:
    """Findings on the year of work, G1: pruning of an early bloomer ends before its flowers open."""
    answer = told(CORDOBA, "Anna", "Gala")
    pruning = [job for job in answer.work if job.job == "winter_pruning"]
    assert [job.cultivars for job in pruning] == [("anna",), ("gala",)]
    for job, calendar in zip(pruning, answer.calendars, strict=True):
        bloom = next(event.day for event in calendar.events if event.event == "first_bloom")
        assert bloom is not None
        assert season_day(job.to_day, False, 150) < season_day(bloom.median, False, 150)


def test_cultivars_that_bloom_together_are_told_together() -> None:
    assert bloom_groups(np.array([300.0, 304.0, np.nan, 330.0, 298.0])) == [[0, 1, 4], [3]]
    assert bloom_groups(np.array([np.nan])) == []
    of_each = {"pick", "store", "check_store", "winter_pruning"}
    assert all(job.cultivars == () for job in told(NORMANDY, "Gala", "Golden Delicious").work if job.job not in of_each)


@pytest.mark.parametrize(
    ("site", "has", "has_not"),
    [
        (MANITOBA, {"whitewash_trunks"}, {"shade_fruit", "tie_glue_bands"}),
        (CORDOBA, {"shade_fruit", "whitewash_trunks"}, set()),
        (NORMANDY, {"clear_leaves", "cut_out_cankers", "tie_glue_bands"}, {"shade_fruit", "whitewash_trunks"}),
        (ONTARIO, {"hang_maggot_traps", "bag_fruit"}, set()),
        (TASMANIA, {"thin_fruit"}, {"hang_maggot_traps", "tie_glue_bands"}),
    ],
)
def test_work_follows_the_place(site: Site, has: set[str], has_not: set[str]) -> None:
    jobs = {job.job for job in told(site, "Golden Delicious").work}
    assert has <= jobs
    assert not has_not & jobs


@pytest.mark.parametrize("site", [MANITOBA, CORDOBA, NORMANDY, ONTARIO, TASMANIA])
def test_bearing_trees_are_never_watered_without_the_young(site: Site) -> None:
    """The roots of the young are shallower: until leaves fall they are watered on every day that the old are."""
    work = told(site, "Golden Delicious", "Granny Smith").work
    south = (site.latitude or 0.0) < 0

    def days(name: str) -> set[int]:
        begins = [(job, season_day(job.from_day, south, 150)) for job in work if job.job == name]
        return {day for job, begin in begins for day in range(begin, season_day(job.to_day, south, begin) + 1)}

    bearing, young = days("water_bearing_trees"), days("water_young_trees")
    assert bearing
    assert young
    assert {day for day in bearing if day <= max(young)} <= young


def test_trees_are_planted_in_winter_where_it_is_mild_and_in_spring_where_the_ground_freezes() -> None:
    def planting(site: Site) -> tuple[int, int]:
        job = next(one for one in told(site, "Golden Delicious").work if one.job == "plant")
        assert job.for_trees == "new"
        return season_day(job.from_day, False, 100), season_day(job.to_day, False, 100)

    mild, cold = planting(NORMANDY), planting(MANITOBA)
    assert mild[0] < season_day("01-01", False, 100) < mild[1]
    assert season_day("04-01", False, 100) < cold[0] < cold[1]


def test_where_summers_are_hot_or_dry_trees_are_watered_until_their_leaves_fall() -> None:
    def watered(site: Site) -> int:
        (job,) = (one for one in told(site, "Golden Delicious").work if one.job == "water_bearing_trees")
        south = (site.latitude or 0.0) < 0
        begin = season_day(job.from_day, south)
        return season_day(job.to_day, south, begin) - begin

    assert watered(NORMANDY) < 120
    assert watered(CORDOBA) > 180
    assert watered(ELGIN) > 180


@pytest.mark.parametrize("site", [NORMANDY, CORDOBA, MANITOBA, ONTARIO, TASMANIA])
def test_every_age_of_tree_has_its_work_and_every_window_an_end(site: Site) -> None:
    jobs = told(site, "Golden Delicious", "Gala").work
    assert {job.for_trees for job in jobs} == {"new", "young", "bearing", "any"}
    south = (site.latitude or 0.0) < 0
    for job in jobs:
        begin = season_day(job.from_day, south)
        most = 280 if job.job.startswith("water") else 200
        assert 0 < season_day(job.to_day, south, begin) - begin < most, job
    assert all(job.words for job in jobs)


def test_picking_is_said_as_the_fruit_shows_it() -> None:
    said = {
        job.cultivars[0]: job.code
        for job in told(NORMANDY, "Bramley's Seedling", "Discovery").work
        if job.job == "pick"
    }
    assert said["discovery"] == "job_pick"
    assert said["bramley-s-seedling"] == "job_pick_cooking"


def test_a_day_tells_what_is_ripe_and_what_comes() -> None:
    answer = told(NORMANDY, "Discovery", "Bramley's Seedling")
    picked = {job.cultivars[0]: job for job in answer.work if job.job == "pick"}
    on = day(NORMANDY, "Discovery", "Bramley's Seedling", on=f"2026-{picked['discovery'].from_day}")
    assert [fruit.id for fruit in on.ripe] == ["discovery"]
    assert on.in_store == ()
    later = day(NORMANDY, "Discovery", "Bramley's Seedling", on="12-20")
    assert later.ripe == later.ripe_within_two_weeks == ()
    assert "bramley-s-seedling" in [fruit.id for fruit in (*later.in_store, *later.eat_first)]


def test_each_day_of_the_year_is_told_without_a_contradiction() -> None:
    names = ("Discovery", "Bramley's Seedling", "Gala")
    for month, of_month in itertools.product(range(1, 13), (1, 15)):
        on = day(NORMANDY, *names, on=f"{month:02d}-{of_month:02d}")
        ripe, coming, falling = (
            {fruit.id for fruit in some} for some in (on.ripe, on.ripe_within_two_weeks, on.falling_soon)
        )
        assert not ripe & coming
        assert not ripe & falling
        assert {fruit.id for fruit in on.keep_for_later} <= {fruit.id for fruit in on.in_store}
        assert all(fruit.use_until for fruit in on.in_store)


def test_a_day_that_no_year_has_is_refused() -> None:
    with pytest.raises(ContentFaults):
        told(NORMANDY, "Gala", on="02-30")


def test_handwork_of_japan_is_not_told_over_the_sea() -> None:
    japan = {"Hirosaki": (40.6, 140.5), "Yoichi": (43.2, 140.8), "Suzaka": (36.65, 138.3)}
    beside = {"Vladivostok": (43.1, 131.9), "Nakhodka": (42.8, 132.9), "Busan": (35.2, 129.0)}
    assert [name for name, pin in japan.items() if not lives_at("handwork_of_japan", *pin)] == []
    assert [name for name, pin in beside.items() if lives_at("handwork_of_japan", *pin)] == []
