"""Work by age, form and bearing habit of trees that are told; moth broods by size; events without a place."""

from functools import cache
from typing import Any

import msgspec
import numpy as np
import pytest
from litestar.testing import TestClient

from domain.common.faults import ContentFaults
from domain.common.season_days import day_of_year, shifted
from domain.hazards.health_events import EVENTS
from domain.site_climate.site import Site
from domain.tables.words import texts
from domain.tree_year.leaf_fall import leaf_fall, leaf_fall_of_years
from domain.year_of_work.calendar_answer import Job, SeasonCalendars, SeasonCalendarsRequest
from domain.year_of_work.calendars import season_calendars
from domain.year_of_work.jobs_table import JOBS
from domain.year_of_work.work import LONGEST_DAY
from tests import shared

KENT = {"latitude": 51.3, "longitude": 0.5, "elevation_m": 40, "as_of": "2026-11-29"}
JUTLAND = {"latitude": 56.4, "longitude": 9.4, "elevation_m": 40}
MARYLAND = {"latitude": 39.2, "longitude": -77.0, "elevation_m": 150}
HIGHLAND = {"latitude": -1.1, "longitude": 36.6, "elevation_m": 2200, "leaf_stripping": ["02-01", "08-01"]}


def told(site: dict[str, Any], **asked: Any) -> SeasonCalendars:
    request = msgspec.convert({"site": site, **asked}, SeasonCalendarsRequest)
    return season_calendars(request, shared.catalogue(), shared.conditions(request.site))


@cache
def events(place: str) -> dict[str, Any]:
    sites: dict[str, dict[str, Any]] = {"jutland": JUTLAND, "maryland": MARYLAND, "kent": KENT}
    return {one.event: one for one in told(sites[place], cultivars=["Golden Delicious"]).site_events}


def jobs(**tree: Any) -> set[str]:
    return {job.job for job in told(KENT, trees=[{"cultivar": "Discovery", **tree}]).work}


def words(answer: SeasonCalendars, job: str) -> list[Job]:
    return [one for one in answer.work if one.job == job]


def test_of_trees_whose_age_is_told_only_their_work_falls_due() -> None:
    new, old, untold = jobs(year_planted=2026), jobs(year_planted=1990), jobs()
    assert {"stake_and_tie", "take_fruit_off_new_trees", "guard_trunks"} <= new
    assert not {"thin_fruit", "pick", "store", "winter_pruning"} & new
    assert {"thin_fruit", "pick", "winter_pruning"} <= old
    assert not {"stake_and_tie", "water_new_trees", "guard_trunks", "formative_pruning"} & old
    assert new | old <= untold


def test_of_trees_whose_form_is_told_only_the_work_of_that_form() -> None:
    pot, fence, bush = (jobs(tree_form=form, year_planted=2010) for form in ("container", "espalier", "bush"))
    assert {"water_pots", "repot"} <= pot
    assert "tie_in_shoots" in fence
    assert "summer_pruning" in fence & pot
    assert not {"summer_pruning", "tie_in_shoots", "water_pots"} & bush
    assert not {"water_pots", "repot", "wrap_pots", "tie_in_shoots"} & jobs()


def test_a_cultivar_with_trees_of_two_ages_has_the_work_of_both() -> None:
    both = told(
        KENT, trees=[{"cultivar": "Discovery", "year_planted": 2026}, {"cultivar": "Discovery", "year_planted": 1990}]
    )
    assert {"stake_and_tie", "thin_fruit"} <= {job.job for job in both.work}
    assert len(both.calendars) == 1


@pytest.mark.parametrize(
    ("asked", "pointer"),
    [
        ({}, "#/cultivars"),
        ({"trees": [{"cultivar": "Nosuchapple"}]}, "#/trees/0/cultivar"),
        ({"trees": [{"cultivar": "Gala", "tree_form": "dragon"}]}, "#/trees/0/tree_form"),
        ({"trees": [{"cultivar": "Gala", "year_planted": 2031}]}, "#/trees/0/year_planted"),
        ({"cultivars": ["Gala"], "on": "2026-02-30"}, "#/on"),
    ],
)
def test_bad_trees_are_told_at_their_field(asked: dict[str, Any], pointer: str) -> None:
    with pytest.raises(ContentFaults) as refused:
        told(KENT, **asked)
    assert pointer in {fault.pointer for fault in refused.value.faults}


@pytest.mark.parametrize("name", [None, "crab apple", "apple"])
def test_words_for_a_tree_of_no_known_cultivar_are_asked_for_it(name: str | None) -> None:
    with pytest.raises(ContentFaults) as refused:
        told(KENT, trees=[{"cultivar": name}])
    (fault,) = refused.value.faults
    assert fault.pointer == "#/trees/0/cultivar"
    assert fault.detail.startswith("Expected its cultivar")


def test_ages_need_today() -> None:
    with pytest.raises(ContentFaults) as refused:
        told(MARYLAND, trees=[{"cultivar": "Gala", "year_planted": 2020}])
    assert {fault.pointer for fault in refused.value.faults} == {"#/trees/0/year_planted"}


def test_pruning_is_told_by_where_a_cultivar_bears() -> None:
    names = ["Worcester Pearmain", "Granny Smith", "James Grieve", "Gala", "Elstar", "Bolero"]
    answer = told(KENT, cultivars=names)
    said = {job.cultivars: job.code for job in words(answer, "winter_pruning")}
    assert said[("worcester-pearmain",)] == "job_winter_pruning_partial"
    assert said[("granny-smith",)] == "job_winter_pruning_tip"
    assert said[("james-grieve", "gala")] == "job_winter_pruning_spur"
    assert said[("elstar",)] == "job_winter_pruning"  # nobody tells where it bears
    columnar = [code for ids, code in said.items() if code == "job_winter_pruning_columnar"]
    assert len(columnar) == 1


def test_only_what_keeps_is_stored_and_looked_after() -> None:
    answer = told(KENT, cultivars=["Beauty of Bath", "Bramley's Seedling"])
    assert {job.cultivars for job in words(answer, "store")} == {("bramley-s-seedling",)}
    (check,) = words(answer, "check_store")
    assert (day_of_year(check.to_day) - day_of_year(check.from_day)) % 365 > 60


def test_a_small_part_of_a_brood_is_told_as_such_and_asks_for_nothing() -> None:
    """Findings on the year of work, G3: in Jutland the second brood is a fifth of one."""
    north, south = events("jutland"), events("maryland")
    assert north["codling_moth_first_flight"].size == 1.0
    small = north["codling_moth_small_brood"]
    assert 0.0 < small.size < 0.35
    assert "nothing need be hung" in small.words
    assert not {"codling_moth_second_flight", "codling_moth_second_strikes"} & north.keys()
    assert south["codling_moth_second_flight"].size > 0.9


def test_what_presses_has_its_days() -> None:
    """Findings on the year of work, G5."""
    east = events("maryland")
    assert {
        "cedar_apple_rust_flies",
        "cedar_apple_rust_shows",
        "powdery_mildew_shows",
        "bitter_rot_shows",
    } <= east.keys()
    assert {"black_rot_shows", "white_rot_shows", "apple_maggot_flies", "apple_maggot_lays"} <= east.keys()
    assert {"plum_curculio_arrives", "woolly_aphid_shows"} <= east.keys()
    assert {"powdery_mildew_shows", "canker_enters", "apple_sawfly_flies", "woolly_aphid_shows"} <= events(
        "kent"
    ).keys()
    assert not {"apple_maggot_flies", "cedar_apple_rust_flies"} & events("kent").keys()


def test_without_a_place_regional_insects_are_told_as_uncertain_and_not_dropped() -> None:
    figures = {
        "latitude": 44.3,
        "coldest_month_mean_c": -8.0,
        "warmest_month_mean_c": 20.0,
        "last_spring_frost": {"threshold_c": 0, "median": "05-15"},
    }
    answer = told(figures, cultivars=["Golden Delicious"])
    uncertain = {one.event for one in answer.site_events if not one.certain}
    assert {"plum_curculio_arrives", "apple_maggot_flies", "apple_sawfly_flies"} <= uncertain
    assert all(one.certain for one in answer.site_events if one.against in ("codling_moth", "scab"))
    assert "calendar_insects_unsure" in {warning.code for warning in answer.warnings}
    assert all(one.certain for one in told(MARYLAND, cultivars=["Gala"]).site_events)


def test_highlands_have_work_of_their_own_and_no_winter() -> None:
    answer = told(HIGHLAND, cultivars=["Anna", "Cox's Orange Pippin"])
    codes = [job.job for job in answer.work]
    assert {"strip_leaves", "thin_fruit", "pick", "prune_at_stripping", "clear_windfalls"} <= set(codes)
    assert not {"winter_pruning", "clear_leaves", "cover_on_frost_nights", "whitewash_trunks"} & set(codes)
    assert codes.count("strip_leaves") == 2
    assert told({**HIGHLAND, "leaf_stripping": []}, cultivars=["Anna"]).work == ()


def test_every_job_says_how_far_years_move_it_or_that_nobody_knows() -> None:
    answer = told(KENT, cultivars=["Discovery"])
    for job in answer.work:
        known = job.days_earlier_one_year_in_ten is not None
        assert known == (job.days_later_one_year_in_ten is not None)
        row = [one.clock for one in JOBS if one.job == job.job]
        assert known == (not {"leaf_fall", LONGEST_DAY} & set(row)) or len(set(row)) > 1, job.job
        assert job.days_earlier_one_year_in_ten is None or 0 <= job.days_earlier_one_year_in_ten < 40


def test_every_job_has_a_title_and_a_sentence_and_never_a_pesticide() -> None:
    known = texts()
    for row in JOBS:
        assert f"job.{row.job}" in known
        assert f"job_{row.job}" in known
    said = [known[f"job_{row.job}"].text for row in JOBS] + [row.words for row in EVENTS]
    for text in said:
        assert not any(
            word in text.lower() for word in ("spray ", "insecticide", "fungicide", "herbicide", "copper", " oil")
        )


def test_leaves_fall_earlier_where_autumn_is_colder_and_still_fall_where_it_is_mild() -> None:
    day = np.arange(549)

    def year(mean: float, swing: float) -> np.ndarray[Any, np.dtype[np.float64]]:
        return mean + swing * np.cos(2 * np.pi * (day - 20) / 365)

    cold, mild, warm = (leaf_fall(year(mean, swing)) for mean, swing in ((4.0, 16.0), (10.0, 7.0), (17.0, 7.0)))
    assert 70 < cold < mild < warm < 230
    from_midwinter = np.stack([np.roll(year(10.0, 7.0)[:365], -182)] * 3)
    assert leaf_fall_of_years(from_midwinter, 184) == pytest.approx(366 + mild - 0.0, abs=6)


def test_days_shift_over_the_new_year() -> None:
    assert shifted("12-30", 5) == "01-04"
    assert shifted("01-02", -5) == "12-28"


def test_the_site_of_the_request_is_not_needed_to_have_records() -> None:
    assert told(KENT, cultivars=["Discovery"]).years_are == "simulated"
    assert Site(latitude=51.3, longitude=0.5).as_of is None


def test_trees_too_young_to_bear_have_no_fruit_on_a_day() -> None:
    day = told(KENT, cultivars=["Discovery"]).calendars[0].events[-1].day
    assert day is not None

    def ripe(year: int) -> int:
        answer = told(KENT, trees=[{"cultivar": "Discovery", "year_planted": year}], on=day.median)
        assert answer.on_this_day is not None
        return len(answer.on_this_day.ripe)

    assert (ripe(2026), ripe(1990)) == (0, 1)


def test_leaves_fall_also_where_the_coldest_days_come_before_the_warmest() -> None:
    """Close to the equator a July of rain may be the coldest month of a place that lies in the north."""
    day = np.arange(365)
    odd = (20.0 - 5.0 * np.cos(2 * np.pi * (day - 20) / 365)).astype(np.float32)  # coldest at day 20, warmest at 202
    odd[176:] = np.maximum(odd[176:], 18.5)
    assert odd.argmin() < odd[:182].argmax()
    assert odd[int(odd[:182].argmax()) :].min() > odd.min() + 2.0
    assert 365 < leaf_fall(odd) < 365 + 20 + 10


def test_a_calendar_is_told_where_the_coldest_days_come_before_the_warmest(client: TestClient[Any]) -> None:
    means = [22, 23, 24, 23, 21, 19, 13, 15, 19, 22, 24.5, 23]
    normals = {"tmin_c": [mean - 5 for mean in means], "tmax_c": [mean + 5 for mean in means]}
    site = {"latitude": 5.0, "longitude": 38.0, "elevation_m": 1500, "monthly_normals": normals}
    answer = client.post("/v1/season-calendars", json={"site": site, "cultivars": ["Gala"]})
    assert answer.status_code == 200, answer.text


ADDIS_ABABA = {"latitude": 9.0, "longitude": 38.75, "elevation_m": 2400, "leaf_stripping": ["01-15"]}


@pytest.mark.parametrize(("site", "months"), [(ADDIS_ABABA, {5, 6, 7}), (HIGHLAND, {3, 4})])
def test_young_trees_of_the_highlands_are_planted_at_the_rains_and_cared_for(
    site: dict[str, Any], months: set[int]
) -> None:
    """Months in which the long rains begin: from memory, of both places."""
    work = told(site, cultivars=["Anna"]).work
    (planted,) = [job for job in work if job.job == "plant"]
    assert planted.code == "job_plant_at_the_rains"
    assert int(planted.from_day[:2]) in months
    young = {"order_trees", "stake_and_tie", "guard_trunks", "mulch", "check_ties", "water_young_trees"}
    assert young | {"bag_fruit", "look_over_trees", "prop_limbs", "pick"} <= {job.job for job in work}


def test_what_keeps_is_stored_in_the_highlands_too() -> None:
    keeper = told(HIGHLAND, cultivars=["Anna", "Rome Beauty"]).work
    stored = {job.job: job.cultivars for job in keeper if job.job in ("store", "check_store")}
    assert stored.keys() == {"store", "check_store"}


def test_a_day_in_the_highlands_tells_what_is_ripe_and_due_from_the_days_of_stripping() -> None:
    asked = told(HIGHLAND, cultivars=["Anna"])
    picking = asked.stripped[0].stripped.cycles[0].picking
    day = told(HIGHLAND, cultivars=["Anna"], on=f"2026-{picking.from_day}").on_this_day
    assert day is not None
    assert [one.cultivar for one in day.ripe] == ["Anna"]
    assert day.ripe[0].from_ == picking.from_day
    stripping = told(HIGHLAND, cultivars=["Anna"], on="2026-02-01").on_this_day
    assert stripping is not None
    assert [one.from_ for one in stripping.ripe] == [asked.stripped[0].stripped.cycles[1].picking.from_day]
    assert "strip_leaves" in {job.job for job in stripping.work}
    assert told({**HIGHLAND, "leaf_stripping": []}, cultivars=["Anna"], on="2026-02-01").on_this_day is None


def test_summer_pruning_waits_for_shorter_days_however_early_trees_bloom() -> None:
    """Trees that bloom in February grow on until summer is well over its height."""
    gulf = told({"latitude": 29.8, "longitude": -95.4, "elevation_m": 20}, cultivars=["Anna"])
    (job,) = [one for one in gulf.work if one.job == "summer_pruning"]
    assert "07-15" < job.from_day < "08-01"
