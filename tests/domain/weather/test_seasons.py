"""Seasons: the by-day figures are those of the chill and heat functions; both hemispheres alike."""

import numpy as np
import pytest

from domain.common.season_days import SEASON_DAYS
from domain.site_climate import predicted_figures
from domain.site_climate.predicted_figures import Blocks
from domain.weather import chill, heat
from domain.weather.hourly import hour_weights, hourly_temperatures
from domain.weather.normals import MonthlyNormals
from domain.weather.seasons import MEASURES, Measure, Quantity, Seasons, dormancy_days, seasons, window_days
from domain.weather.weather_generator import DailyWeather, season_days_of_year, simulate

MILD = MonthlyNormals(
    tmin_c=(3.0, 4.5, 6.2, 7.5, 10.4, 12.9, 13.6, 13.0, 12.1, 9.3, 5.3, 2.8),
    tmax_c=(12.3, 15.6, 18.5, 22.2, 27.1, 31.3, 33.9, 33.3, 31.6, 26.3, 18.1, 12.7),
)


@pytest.fixture(scope="module")
def mild() -> Seasons:
    return seasons(simulate(MILD, 38.5, years=12))


def hours_of(weather: DailyWeather, first: int, last: int) -> np.ndarray:
    low, high = (np.pad(t.T, ((1, 1), (0, 0)), mode="edge")[first : last + 3] for t in (weather.tmin_c, weather.tmax_c))
    weights = hour_weights(season_days_of_year(weather.south)[first : last + 1] + 1, weather.latitude)
    return hourly_temperatures(low, high, weights).reshape(-1, len(weather.tmin_c))


def about_the_same_portions(tabled: np.ndarray, plain: np.ndarray) -> bool:
    """Portions of seasons from tables by temperature against the recursion itself: as `hour_tables` states."""
    apart = np.abs(tabled - plain)
    return bool(apart.max() < 1.5 and abs(tabled.mean() - plain.mean()) < 0.05 and np.median(apart) < 0.01)


def test_totals_are_those_of_the_hours_in_the_window(mild: Seasons) -> None:
    first, last = window_days(south=False, counted_from="11-01", counted_to="02-28")
    assert last - first + 1 == 120
    hours = hours_of(mild.weather, first, last)
    totals = mild.chill_totals("11-01", "02-28")
    assert set(totals) == set(MEASURES)
    assert np.array_equal(totals["hours_below_7_2c"], chill.hours_below_7_2c(hours))
    assert np.array_equal(totals["hours_0_to_7_2c"], chill.hours_0_to_7_2c(hours))
    assert totals["utah_units"] == pytest.approx(chill.utah_total(hours), abs=0.01)
    assert about_the_same_portions(totals["chill_portions"], chill.chill_portions(hours))


def test_portions_by_day_count_the_dormant_season(mild: Seasons) -> None:
    first, last = dormancy_days(south=False)
    assert (mild.chill_portions_by_day[:, :first] == 0).all()
    assert (np.diff(mild.chill_portions_by_day, axis=1) >= 0).all()
    assert (mild.chill_portions_by_day[:, last:] == mild.chill_portions_by_day[:, last : last + 1]).all()
    whole = mild.chill_totals("10-01", "05-31")["chill_portions"]
    assert mild.chill_portions_by_day[:, -1] == pytest.approx(whole, rel=1e-6)
    assert about_the_same_portions(whole, chill.chill_portions(hours_of(mild.weather, first, last)))


@pytest.mark.parametrize(("latitude", "colder_c"), [(52.0, 9.0), (-33.0, 0.0), (61.0, 16.0), (8.0, 4.0)])
def test_days_walked_once_are_the_days_of_every_season(latitude: float, colder_c: float) -> None:
    """A hundred seasons from tables against their hours one by one: portions and degree hours by day."""
    low, high = (tuple(month - colder_c for month in months) for months in (MILD.tmin_c, MILD.tmax_c))
    normals = MonthlyNormals(tmin_c=low, tmax_c=high)
    made = seasons(simulate(normals, latitude, years=100))
    made.read("chill_portions", "growing_degree_hours")
    first, last = dormancy_days(south=latitude < 0)
    plain = chill.chill_portions(hours_of(made.weather, first, last))
    assert about_the_same_portions(made.dormant_portions, plain)
    by_hour = heat.growing_degree_hours(hours_of(made.weather, 0, SEASON_DAYS - 1).astype(np.float64))
    by_day = np.cumsum(by_hour.reshape(SEASON_DAYS, 24, -1).sum(axis=1), axis=0).T
    assert made.growing_degree_hours_by_day == pytest.approx(by_day, rel=1e-3, abs=1.0)


def test_heat_by_day(mild: Seasons) -> None:
    hours = hours_of(mild.weather, 0, SEASON_DAYS - 1)
    assert mild.growing_degree_hours_by_day[:, -1] == pytest.approx(
        heat.growing_degree_hours(hours).sum(axis=0), rel=1e-5
    )


def test_both_hemispheres_count_the_same() -> None:
    """One series of days, put half a year later and as far south, has the same chill but for the sun's orbit."""
    north = simulate(MILD, 38.5, years=20)
    south = DailyWeather(south=True, latitude=-38.5, tmin_c=north.tmin_c, tmax_c=north.tmax_c)
    up, down = seasons(north), seasons(south)
    a, b = up.chill_totals("11-01", "02-28"), down.chill_totals("05-04", "08-31")
    for measure in MEASURES:
        assert b[measure].mean() == pytest.approx(a[measure].mean(), rel=0.01, abs=3)
    # Season days 92 and 90 are 1 October and 1 April: the counts differ by two days of early autumn.
    assert down.chill_portions_by_day[:, -1].mean() == pytest.approx(up.chill_portions_by_day[:, -1].mean(), rel=0.01)
    assert np.array_equal(up.winter_minimum_c, down.winter_minimum_c)


def test_missing_temperatures_are_refused(mild: Seasons) -> None:
    gap = mild.weather.tmin_c.copy()
    gap[3, 150] = np.nan
    made = seasons(DailyWeather(south=False, latitude=38.5, tmin_c=gap, tmax_c=mild.weather.tmax_c))
    with pytest.raises(ValueError, match="between"):
        made.read("chill_portions")


def test_what_is_read_together_is_what_is_read_alone(mild: Seasons) -> None:
    quantities: tuple[Quantity, ...] = (*MEASURES, "growing_degree_hours")
    together = seasons(mild.weather)
    together.read(*quantities)
    part = together.part(slice(3, 7))
    for quantity in quantities:
        alone = seasons(mild.weather).by_day(quantity)
        assert np.array_equal(together.by_day(quantity), alone)
        assert np.array_equal(part.by_day(quantity), seasons(part.weather).by_day(quantity))


def test_what_is_counted_on_some_days_is_what_a_whole_year_holds_of_them(mild: Seasons) -> None:
    """To the bit, whichever window was counted before and whether or not all days are known already."""
    known, counted = seasons(mild.weather), seasons(mild.weather)
    known.read(*MEASURES)
    for window in (("11-01", "02-28"), ("12-15", "01-15"), ("10-01", "05-31"), ("08-01", "11-15")):
        first, last = window_days(False, *window)
        counted.count(MEASURES, first, last)
        for measure in ("hours_below_7_2c", "hours_0_to_7_2c", "utah_units"):
            total = known.by_day(measure)
            expected = total[:, last] - total[:, first - 1]
            assert np.array_equal(counted.gained(measure, first, last), expected)
            assert np.array_equal(known.gained(measure, first, last), expected)
    assert not counted.has("hours_below_7_2c")
    assert np.array_equal(counted.gained("utah_units", 0, 40), known.by_day("utah_units")[:, 40])


class _CountedMeanwhile(tuple[Measure, ...]):
    """Measures, of which another request counts more whenever it is asked whether one is among them."""

    made: Seasons

    def __contains__(self, measure: object) -> bool:
        asked = next(each for each in MEASURES if each == measure)
        if len(self.made._counted) < 3:
            missing = next(each for each in MEASURES if each not in self.made._counted)
            self.made.count((missing,), 100, 120)
        return super().__contains__(asked)


def test_what_another_request_counts_meanwhile_does_no_harm(mild: Seasons) -> None:
    known, counted = seasons(mild.weather), seasons(mild.weather)
    known.read(*MEASURES)
    counted.count(MEASURES[:1], 100, 120)
    measures = _CountedMeanwhile(MEASURES[:3])
    measures.made = counted
    counted.count(measures, 90, 130)
    for measure in MEASURES[:3]:
        assert np.array_equal(counted.gained(measure, 90, 130), known.gained(measure, 90, 130))
        assert counted._counted[measure].first <= 90


def test_frost_and_cold_walk_no_hours(mild: Seasons, monkeypatch: pytest.MonkeyPatch) -> None:
    for walk in ("_walk", "_counted_within"):
        monkeypatch.setattr(f"domain.weather.seasons.{walk}", lambda *_: pytest.fail("hours were walked"))
    blocks = Blocks(seasons(mild.weather), 2)
    predicted_figures.last_frost(blocks, 0.0)
    predicted_figures.first_frost(blocks, 0.0)
    predicted_figures.winter_minimum(blocks)
    assert blocks.seasons.mean_temperature_c.shape == mild.weather.tmin_c.shape


def test_a_window_needs_real_dates(mild: Seasons) -> None:
    with pytest.raises(ValueError, match="day"):
        mild.chill_totals("11-31", "02-28")
