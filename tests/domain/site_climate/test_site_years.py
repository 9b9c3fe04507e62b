"""Every depth gives years; what was told is shown by them; what is not known is told."""

from typing import Any

import msgspec
import numpy as np
import pytest

from domain.common.faults import ContentFaults
from domain.common.season_days import season_day
from domain.site_climate import predicted_figures as predicted
from domain.site_climate.predicted_figures import Blocks
from domain.site_climate.site import Site
from domain.site_climate.site_years import SiteYears, site_years
from domain.weather.normals import MonthlyNormals
from tests import shared


def years(**body: Any) -> SiteYears:
    return shared.years(shared.site(**body))


def portions(made: SiteYears) -> float:
    return float(predicted.chill(Blocks(made.seasons, 1), "chill_portions", None).mean())


def last_frost(made: SiteYears) -> float:
    return float(predicted.middle(predicted.last_frost(Blocks(made.seasons, 1), 0.0))[0])


def minimum(made: SiteYears) -> float:
    return float(made.seasons.winter_minimum_c.mean())


TOLD: dict[str, Any] = {
    "winter_chill": {
        "measure": "hours_below_7_2c",
        "mean": 950,
        "tenth_percentile": 750,
        "ninetieth_percentile": 1150,
        "counted_from": "11-01",
        "counted_to": "02-28",
    },
    "last_spring_frost": {"median": "03-15"},
    "first_autumn_frost": {"median": "11-15"},
    "winter_minimum": {"mean_annual_minimum_c": -7},
    "warmest_month_mean_c": 25,
}


def test_figures_told_are_shown() -> None:
    made = years(**TOLD)
    hours = made.seasons.chill_totals("11-01", "02-28")["hours_below_7_2c"]
    assert made.basis == "figures"
    assert hours.mean() == pytest.approx(950, rel=0.10)
    assert np.quantile(hours, 0.1) == pytest.approx(750, rel=0.12)
    assert np.quantile(hours, 0.9) == pytest.approx(1150, rel=0.12)
    assert last_frost(made) == pytest.approx(season_day("03-15", south=False), abs=7)
    assert minimum(made) == pytest.approx(-7, abs=2.5)
    assert (max(made.normals.tmin_c) + max(made.normals.tmax_c)) / 2 == pytest.approx(25, abs=1.5)


def test_the_same_site_gives_the_same_years() -> None:
    site = msgspec.convert(TOLD, Site)
    one, other = shared.years(site), site_years(site)
    assert np.array_equal(one.seasons.weather.tmin_c, other.seasons.weather.tmin_c)
    assert one.spread == other.spread


def test_the_south_mirrors_the_north() -> None:
    turned = {
        **TOLD,
        "winter_chill": {**TOLD["winter_chill"], "counted_from": "05-01", "counted_to": "08-31"},
        "last_spring_frost": {"median": "09-13"},
        "first_autumn_frost": {"median": "05-16"},
    }
    north, south = years(**TOLD), years(**turned)
    assert south.south
    assert portions(south) == pytest.approx(portions(north), abs=6)
    assert last_frost(south) == pytest.approx(last_frost(north), abs=6)


@pytest.mark.parametrize(
    ("body", "south"),
    [
        ({"last_spring_frost": {"median": "10-05"}}, True),
        ({"first_autumn_frost": {"median": "04-25"}}, True),
        ({"bloom_here": "10-01"}, True),
        ({"last_spring_frost": {"median": "01-20"}}, False),
        ({"winter_chill": {"measure": "chill_portions", "mean": 40}}, False),
    ],
)
def test_hemisphere_without_a_latitude(body: dict[str, Any], south: bool) -> None:
    made = years(**body)
    assert made.south is south
    assert any(assumption.field == "latitude" for assumption in made.assumptions)


def test_one_figure_leaves_more_open_than_five() -> None:
    one = years(winter_chill=TOLD["winter_chill"])
    assert one.spread.last_frost_days > years(**TOLD).spread.last_frost_days
    assert one.spread.summer_mean_c > years(**TOLD).spread.summer_mean_c


def test_hours_mean_other_portions_on_a_mild_coast_than_in_a_warm_valley() -> None:
    """The same hours with a cool or a hot summer, a small or a great winter cold: the regime decides."""
    hours = {"measure": "hours_below_7_2c", "mean": 550, "counted_from": "11-01", "counted_to": "02-28"}
    coast = years(winter_chill=hours, warmest_month_mean_c=17, coldest_month_mean_c=10)
    inland = years(winter_chill=hours, warmest_month_mean_c=28, coldest_month_mean_c=12)
    assert portions(coast) > portions(inland) + 15


@pytest.mark.parametrize("measure", ["hours_below_7_2c", "hours_0_to_7_2c"])
def test_few_hours_quoted_in_a_cold_winter_are_no_shortage(measure: str) -> None:
    made = years(
        winter_chill={"measure": measure, "mean": 900},
        winter_minimum={"hardiness_zone": "4a"},
        last_spring_frost={"median": "05-12"},
        first_autumn_frost={"median": "09-26"},
    )
    assert portions(made) > 80
    assert minimum(made) < -27


def test_no_chill_and_no_frost() -> None:
    made = years(
        winter_chill={"measure": "hours_below_7_2c", "mean": 0},
        last_spring_frost={"frost_free": True},
        first_autumn_frost={"frost_free": True},
    )
    assert portions(made) < 10
    assert minimum(made) > 1
    assert not made.warnings


def test_zone_two() -> None:
    made = years(winter_minimum={"hardiness_zone": "2b"}, last_spring_frost={"median": "05-28"})
    assert minimum(made) == pytest.approx(-41.4, abs=3)
    assert made.seasons.weather.tmin_c.min() > -75


def test_figures_that_disagree_are_answered_with_a_warning() -> None:
    made = years(coldest_month_mean_c=22, warmest_month_mean_c=27, winter_minimum={"hardiness_zone": "3a"})
    assert any("does not agree" in warning.words for warning in made.warnings)


def test_a_wrong_sign_of_the_latitude_is_told() -> None:
    made = years(latitude=-38.9, longitude=-71.5, last_spring_frost={"median": "04-20"})
    assert any("check its sign" in warning.words for warning in made.warnings)


def test_figures_calibrate_the_place() -> None:
    place = {"latitude": 38.9, "longitude": -76.9, "elevation_m": 40}
    alone, told = years(**place), years(**place, last_spring_frost={"median": "04-25"})
    assert last_frost(told) > last_frost(alone) + 7
    assert told.spread.last_frost_days < alone.spread.last_frost_days


def test_a_place_at_sea_is_refused_unless_figures_are_told() -> None:
    with pytest.raises(ContentFaults, match="No land"):
        years(latitude=40.0, longitude=-40.0)
    told = years(latitude=40.0, longitude=-40.0, **TOLD)
    assert any("figures alone" in warning.words for warning in told.warnings)


def test_nothing_told_is_refused() -> None:
    with pytest.raises(ContentFaults, match="latitude and longitude"):
        years()


def test_warming_takes_chill_and_frost_away() -> None:
    now, then = years(latitude=45.0, longitude=7.7), years(latitude=45.0, longitude=7.7, warming_c=3)
    assert last_frost(then) < last_frost(now) - 5
    assert minimum(then) == pytest.approx(minimum(now) + 3, abs=0.3)
    assert max(then.normals.tmax_c) == pytest.approx(max(now.normals.tmax_c) + 3, abs=0.02)


def test_rain_days_as_told_and_as_assumed() -> None:
    place = {"latitude": 51.4, "longitude": -2.6}
    told = years(**place, rain_days_in_growing_season=80)
    assert told.rain_days_growing_season == pytest.approx(80, abs=2)
    assert not any(a.field == "rain_days_in_growing_season" for a in told.assumptions)
    assert any(a.field == "rain_days_in_growing_season" for a in years(**place).assumptions)


def test_place_normals_and_figures_of_one_place_agree_within_their_spreads() -> None:
    place = years(latitude=50.8, longitude=4.4, elevation_m=100)
    normals = years(latitude=50.8, longitude=4.4, monthly_normals=msgspec.to_builtins(place.normals))
    hours = place.seasons.chill_totals("11-01", "02-28")["hours_below_7_2c"].mean()
    figures = years(
        latitude=50.8,
        winter_chill={
            "measure": "hours_below_7_2c",
            "mean": float(hours),
            "counted_from": "11-01",
            "counted_to": "02-28",
        },
        winter_minimum={"mean_annual_minimum_c": minimum(place)},
        warmest_month_mean_c=18.0,
        last_spring_frost={"median": "04-11"},
    )
    for other in (normals, figures):
        open_ = np.hypot(place.spread.chill_portions, other.spread.chill_portions)
        assert abs(portions(place) - portions(other)) < 2 * open_
        late = np.hypot(place.spread.last_frost_days, other.spread.last_frost_days)
        assert abs(last_frost(place) - last_frost(other)) < 2 * late


def test_normals_keep_their_means() -> None:
    tmin = (-4.0, -3.0, 1.0, 5.5, 10.5, 15.5, 18.0, 17.5, 13.5, 7.0, 2.5, -2.0)
    tmax = tuple(value + 10.5 for value in tmin)
    made = years(
        latitude=40.0, longitude=-83.0, monthly_normals=msgspec.to_builtins(MonthlyNormals(tmin_c=tmin, tmax_c=tmax))
    )
    assert made.basis == "normals"
    january = made.seasons.weather.tmin_c[:, 184:215].mean()
    assert january == pytest.approx(-4.0, abs=0.5)
