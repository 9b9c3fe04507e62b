"""One place told in four ways: its record, the normals and the figures of that record, and the place alone.

The answers agree within the spreads that each states of itself. Open daily series (aquacrop-series and seattle-series
in tests/published/data/climate_sources.csv); figures are those a grower would tell of the record: chill of the dormant
season, the last frost, the mean yearly minimum, the coldest and the warmest month. ``python -m
tests.published.test_depths_agree`` prints them.
"""

from functools import cache
from typing import Any

import numpy as np
import pytest

from domain.common.season_days import month_day
from domain.site_climate.predicted_figures import Blocks, chill, last_frost, middle
from domain.site_climate.site import DailyRecords, LastSpringFrost, Site, WinterChill, WinterMinimum
from domain.site_climate.site_years import SiteYears, site_years
from domain.weather.frost_dates import last_spring_frost
from domain.weather.normals import monthly_means
from domain.weather.seasons import DORMANCY_FROM, DORMANCY_TO, seasons
from tests.published.tables import FIRST_DAYS, LATITUDES, normals_of_record, open_series, recorded

LONGITUDES = {"brussels": 4.35, "champion": -101.75, "tunis": 10.18, "cordoba": -64.2, "seattle": -122.3}
ELEVATIONS = {"brussels": 25.0, "champion": 1030.0, "tunis": 10.0, "cordoba": 430.0, "seattle": 50.0}
DEPTHS = ("records", "normals", "figures", "place")
PAIRS = [(a, b) for n, a in enumerate(DEPTHS) for b in DEPTHS[n + 1 :]]


def figures(place: str) -> dict[str, Any]:
    """What a grower would tell of the record."""
    weather = recorded(place)
    made = seasons(weather)
    totals = made.chill_totals(DORMANCY_FROM[weather.south], DORMANCY_TO[weather.south])
    means = monthly_means(normals_of_record(place))
    median = last_spring_frost(weather).median
    told: dict[str, Any] = {
        "winter_chill": WinterChill(
            measure="hours_below_7_2c",
            mean=round(float(totals["hours_below_7_2c"].mean())),
            counted_from=DORMANCY_FROM[weather.south],
            counted_to=DORMANCY_TO[weather.south],
        ),
        "winter_minimum": WinterMinimum(mean_annual_minimum_c=round(float(made.winter_minimum_c.mean()), 1)),
        "coldest_month_mean_c": round(float(means.min()), 1),
        "warmest_month_mean_c": round(float(means.max()), 1),
    }
    if median is not None:
        told["last_spring_frost"] = LastSpringFrost(median=month_day(median, weather.south))
    return told


@cache
def answer(place: str, depth: str) -> SiteYears:
    latitude = LATITUDES[place]
    here: dict[str, Any] = {"latitude": latitude, "longitude": LONGITUDES[place], "elevation_m": ELEVATIONS[place]}
    if depth == "records":
        series = open_series()
        record = DailyRecords(
            first_day=FIRST_DAYS[place].isoformat(),
            tmin_c=tuple(series[f"{place}_tmin"].tolist()),
            tmax_c=tuple(series[f"{place}_tmax"].tolist()),
        )
        return site_years(Site(**here, daily_records=record))
    if depth == "normals":
        return site_years(Site(**here, monthly_normals=normals_of_record(place)))
    if depth == "figures":
        return site_years(Site(latitude=latitude, **figures(place)))
    return site_years(Site(**here))


def shown(years: SiteYears) -> dict[str, tuple[float, float]]:
    """Each quantity with the spread stated of it."""
    blocks = Blocks(years.seasons, 1)
    means = monthly_means(years.normals)
    return {
        "chill_portions": (float(chill(blocks, "chill_portions", None).mean()), years.spread.chill_portions),
        "last_frost_days": (float(middle(last_frost(blocks, 0.0))[0]), years.spread.last_frost_days),
        "winter_minimum_c": (float(years.seasons.winter_minimum_c.mean()), years.spread.winter_minimum_c),
        "summer_mean_c": (float(means.max()), years.spread.summer_mean_c),
    }


@pytest.mark.parametrize("place", sorted(LATITUDES))
def test_every_depth_answers_as_what_it_is(place: str) -> None:
    assert [answer(place, depth).basis for depth in DEPTHS] == list(DEPTHS)


@cache
def differences() -> dict[tuple[str, str, str, str], float]:
    """Difference of two depths over the spreads of both, by place, depths and quantity."""
    found = {}
    for place in sorted(LATITUDES):
        told = {depth: shown(answer(place, depth)) for depth in DEPTHS}
        for one, other in PAIRS:
            for quantity in told[one]:
                (a, spread_a), (b, spread_b) = told[one][quantity], told[other][quantity]
                found[place, one, other, quantity] = (a - b) / float(np.hypot(spread_a, spread_b))
    return found


def test_the_depths_agree_within_their_spreads() -> None:
    apart = differences()
    values = np.abs(list(apart.values()))
    far = {key: round(value, 1) for key, value in apart.items() if abs(value) > 2.0}
    assert np.sqrt(np.mean(values**2)) < 1.1
    assert len(far) <= 0.06 * len(apart), far
    assert values.max() < 3.0, far


def test_the_spreads_are_no_wider_the_more_is_told() -> None:
    """Chill is known best from a record, and worst from the place or from figures alone."""
    for place in sorted(LATITUDES):
        spread = {depth: answer(place, depth).spread.chill_portions for depth in DEPTHS}
        assert spread["normals"] <= spread["place"] + 0.5
        assert spread["normals"] <= spread["figures"] + 0.5
        if place != "seattle":  # its record is of four years
            assert spread["records"] <= spread["normals"] + 0.5


def _report() -> None:
    for place in sorted(LATITUDES):
        for depth in DEPTHS:
            words = "  ".join(
                f"{name} {value:6.1f} +- {sd:4.1f}" for name, (value, sd) in shown(answer(place, depth)).items()
            )
            print(f"{place:9s} {depth:8s} {words}")


if __name__ == "__main__":
    _report()
