"""Real records: seasons as they were, gaps by rule, and a clear word for what cannot be used."""

import datetime as dt
from typing import Any

import msgspec
import numpy as np
import pytest
from numpy.typing import NDArray

from domain.common.faults import ContentFaults
from domain.common.season_days import SEASON_DAYS, YEAR_DAYS
from domain.site_climate.record_years import record_seasons
from domain.site_climate.records import _numbers, read_records
from domain.site_climate.site import DailyRecords, HourlyRecords, Site
from domain.site_climate.site_years import site_years

FIRST = dt.date(2000, 1, 1)
AT = ("site", "daily_records")
Floats = NDArray[np.float64]


def series(years: int = 6, south: bool = False) -> tuple[Floats, Floats]:
    """Weather of a temperate place, day by day with its leap days."""
    count = (dt.date(FIRST.year + years, 1, 1) - FIRST).days
    random = np.random.default_rng(4)
    away = np.zeros(count)
    for day in range(1, count):
        away[day] = 0.7 * away[day - 1] + random.normal(0, 2.5)
    phase = 0.0 if south else np.pi
    mean = 10.0 + 11.0 * np.cos(2 * np.pi * (np.arange(count) - 15) / 365.25 + phase) + away
    wide = 8.0 + random.normal(0, 1.0, count)
    return mean - wide / 2, mean + wide / 2


def daily(tmin: Floats, tmax: Floats, first: dt.date = FIRST) -> DailyRecords:
    def plain(values: Floats) -> tuple[float | None, ...]:
        return tuple(None if np.isnan(v) else round(float(v), 2) for v in values)

    return DailyRecords(first_day=first.isoformat(), tmin_c=plain(tmin), tmax_c=plain(tmax))


def refused(records: DailyRecords | HourlyRecords, latitude: float = 45.0) -> str:
    with pytest.raises(ContentFaults) as caught:
        read_records(records, latitude, AT)
    return caught.value.faults[0].detail


def test_seasons_are_the_record() -> None:
    tmin, tmax = series()
    record = read_records(daily(tmin, tmax), 45.0, AT)
    assert record.weather.first_years == (2000, 2001, 2002, 2003, 2004)
    assert record.weather.tmin_c.shape == (5, SEASON_DAYS)
    first_of_july = (dt.date(2000, 7, 1) - FIRST).days
    assert record.weather.tmin_c[0, 0] == pytest.approx(tmin[first_of_july], abs=0.01)
    assert not record.notes


@pytest.mark.parametrize("values", [(), (1.5,), (-3.25, None, 7.0), (None,) * 9, (2, 3.5), tuple(range(20))])
def test_numbers_are_those_that_were_sent(values: tuple[float | None, ...]) -> None:
    found = _numbers(values)
    assert found.dtype == np.float64
    np.testing.assert_array_equal(found, np.array(values, dtype=np.float64))


def test_leap_days_are_left_out() -> None:
    tmin, tmax = series()
    marked = tmin.copy()
    marked[(dt.date(2004, 2, 29) - FIRST).days] = -40.0
    assert read_records(daily(marked, tmax), 45.0, AT).weather.tmin_c.min() > -39


def test_short_gaps_are_bridged_and_long_ones_cost_the_season() -> None:
    tmin, tmax = series()
    short = (dt.date(2001, 1, 10) - FIRST).days
    long = (dt.date(2003, 1, 10) - FIRST).days
    for values in (tmin, tmax):
        values[short : short + 4] = np.nan
        values[long : long + 12] = np.nan
    record = read_records(daily(tmin, tmax), 45.0, AT)
    assert record.weather.first_years == (2000, 2001, 2003, 2004)
    assert np.isfinite(record.weather.tmin_c).all()
    assert any("4 missing days" in note.words for note in record.notes)
    assert any("2002" in note.words and "left out" in note.words for note in record.notes)


def test_the_last_autumn_is_borrowed() -> None:
    tmin, tmax = series(years=2)
    ends = (dt.date(2001, 7, 1) - FIRST).days
    record = read_records(daily(tmin[:ends], tmax[:ends]), 45.0, AT)
    low = record.weather.tmin_c
    assert low.shape == (1, SEASON_DAYS)
    assert np.array_equal(low[0, YEAR_DAYS:], low[0, : SEASON_DAYS - YEAR_DAYS])


def test_fahrenheit() -> None:
    tmin, tmax = series()
    assert "Fahrenheit" in refused(daily(tmin * 1.8 + 32, tmax * 1.8 + 32))


def test_a_logger_set_to_fahrenheit_for_one_summer() -> None:
    tmin, tmax = series()
    one = slice((dt.date(2003, 6, 1) - FIRST).days, (dt.date(2003, 9, 1) - FIRST).days)
    tmin[one], tmax[one] = tmin[one] * 1.8 + 32, tmax[one] * 1.8 + 32
    assert "Fahrenheit" in refused(daily(tmin, tmax))


def test_tenths_of_a_degree() -> None:
    tmin, tmax = series()
    assert "tenths" in refused(daily(tmin * 10, tmax * 10))


def test_exchanged_series() -> None:
    tmin, tmax = series()
    assert "exchanged" in refused(daily(tmax, tmin))


def test_a_few_exchanged_days_are_put_right() -> None:
    tmin, tmax = series()
    tmin[100], tmax[100] = tmax[100], tmin[100]
    record = read_records(daily(tmin, tmax), 45.0, AT)
    assert any("exchanged back" in note.words for note in record.notes)


def test_series_that_do_not_belong_together() -> None:
    tmin, tmax = series()
    tmin[::10] = tmax[::10] + 5
    assert "do not belong" in refused(daily(tmin, tmax))


def test_a_sensor_that_stood_still() -> None:
    tmin, tmax = series()
    tmin[900:920], tmax[900:920] = tmin[900], tmax[900]
    record = read_records(daily(tmin, tmax), 45.0, AT)
    assert any("stood still" in note.words for note in record.notes)
    assert 2002 not in (record.weather.first_years or ())
    tmin[300:1200], tmax[300:1200] = 5.0, 9.0
    assert "stood still" in refused(daily(tmin, tmax))


def test_minima_alone_that_stood_still() -> None:
    tmin, tmax = series()
    start = (dt.date(2002, 10, 1) - FIRST).days
    tmin[start : start + 30] = 4.0
    record = read_records(daily(tmin, tmax), 45.0, AT)
    assert any("30 days in which the sensor stood still" in note.words for note in record.notes)
    assert 2002 not in (record.weather.first_years or ())
    tmin[start : start + 10] = np.linspace(4, 6, 10).round(1)
    tmin[start + 10 : start + 30] += np.random.default_rng(2).normal(0, 2, 20)
    assert not read_records(daily(tmin, tmax), 45.0, AT).notes


def test_hours_that_stood_still() -> None:
    tmin, tmax = series()
    hours = np.array(hourly(tmin, tmax).temperature_c, dtype=float)
    start = (dt.date(2002, 1, 3) - FIRST).days * 24
    hours[start : start + 10 * 24] = 3.3
    record = read_records(of_hours(hours), 45.0, AT)
    assert any("240 hours in which the sensor stood still" in note.words for note in record.notes)
    assert 2001 not in (record.weather.first_years or ())


def test_shuffled_hours() -> None:
    tmin, tmax = series()
    hours = np.array(hourly(tmin, tmax).temperature_c, dtype=float).reshape(-1, 24)
    within = np.random.default_rng(1).permuted(hours, axis=1).ravel()
    assert "hours look shuffled" in refused(of_hours(within))
    assert "shuffled" in refused(of_hours(np.random.default_rng(1).permutation(hours.ravel())))


def test_hours_of_another_clock_are_told() -> None:
    tmin, tmax = series()
    hours = np.array(hourly(tmin, tmax).temperature_c, dtype=float)
    assert not read_records(of_hours(hours), 45.0, AT).notes
    utc = read_records(of_hours(np.roll(hours, 9)), 45.0, AT)
    assert any("warmest at 1:00" in note.words for note in utc.notes)


def test_shuffled_days() -> None:
    tmin, tmax = series()
    order = np.random.default_rng(1).permutation(tmin.size)
    day = np.arange(tmin.size)
    season = 11.0 * np.cos(2 * np.pi * (day - 15) / 365.25 + np.pi)
    tmin, tmax = (season + (values - season)[order] for values in (tmin, tmax))
    assert "shuffled" in refused(daily(tmin, tmax))


def test_months_of_the_other_hemisphere() -> None:
    tmin, tmax = series()
    assert "south" in refused(daily(tmin, tmax), latitude=-45.0)
    tmin, tmax = series(south=True)
    assert read_records(daily(tmin, tmax), -45.0, AT).weather.south


def test_a_first_day_three_months_off_is_told() -> None:
    tmin, tmax = series()
    record = read_records(daily(tmin, tmax, dt.date(2000, 3, 20)), 45.0, AT)
    assert any("check the first day" in note.words and "later" in note.words for note in record.notes)


def test_every_day_sent_twice() -> None:
    tmin, tmax = series()
    assert "sent twice" in refused(daily(np.repeat(tmin, 2), np.repeat(tmax, 2)))


def test_a_month_sent_twice() -> None:
    tmin, tmax = series()
    start = (dt.date(2003, 1, 1) - FIRST).days
    doubled = [np.concatenate([v[: start + 31], v[start : start + 31], v[start + 31 :]]) for v in (tmin, tmax)]
    detail = refused(daily(doubled[0], doubled[1]))
    assert "from 2003-02-01 repeat those from 2003-01-01" in detail


def test_a_year_sent_twice() -> None:
    tmin, tmax = series()
    for values in (tmin, tmax):
        values[YEAR_DAYS * 2 : YEAR_DAYS * 3] = values[YEAR_DAYS : YEAR_DAYS * 2]
    assert "twice" in refused(daily(tmin, tmax))


def test_no_whole_season() -> None:
    tmin, tmax = series(years=2)
    for values in (tmin, tmax):
        values[::20] = values[::20]
        values[250:262] = np.nan
        values[620:640] = np.nan
    ends = (dt.date(2001, 6, 1) - FIRST).days
    assert "No season" in refused(daily(tmin[:ends], tmax[:ends]))


def hourly(tmin: Floats, tmax: Floats) -> HourlyRecords:
    hour = np.arange(24)
    shape = 0.5 - 0.5 * np.cos(2 * np.pi * (hour - 4) / 24)
    hours = tmin[:, None] + (tmax - tmin)[:, None] * shape
    return of_hours(hours.ravel())


def of_hours(hours: Floats) -> HourlyRecords:
    return HourlyRecords(first_day=FIRST.isoformat(), temperature_c=tuple(np.round(hours, 2).tolist()))


def test_hours_and_days_of_one_place_agree() -> None:
    tmin, tmax = series(years=18)
    by_day = site_years(Site(latitude=45.0, daily_records=daily(tmin, tmax)))
    by_hour = site_years(Site(latitude=45.0, hourly_records=hourly(tmin, tmax)))
    assert by_day.basis == by_hour.basis == "records"
    totals = [years.seasons.chill_portions_by_day[:, -1].mean() for years in (by_day, by_hour)]
    assert totals[0] == pytest.approx(totals[1], rel=0.08)
    assert len(by_day.seasons.weather.tmin_c) == 17


@pytest.mark.parametrize(
    ("days_after", "gap"),
    [*((days, False) for days in (0, 1, 7, 8, 100, 183, 184, 200)), (100, True), (200, True)],
)
def test_hours_borrow_the_last_autumn_as_days_do(days_after: int, gap: bool) -> None:
    """A record of hours may end on any day after its last season, and may have a gap there."""
    tmin, tmax = series(years=3)
    ends = (dt.date(2002, 7, 1) - FIRST).days + days_after
    by_hour = hourly(tmin[:ends], tmax[:ends])
    if gap:
        lost = 24 * (ends - days_after // 2)
        told = list(by_hour.temperature_c)
        by_hour = msgspec.structs.replace(
            by_hour, temperature_c=(*told[: lost - 24 * 20], *[None] * 24 * 20, *told[lost:])
        )
    record = read_records(by_hour, 45.0, AT)
    hours = record.hours
    assert hours is not None
    assert hours.shape == (2, SEASON_DAYS, 24)
    assert hours.min(axis=2) == pytest.approx(record.weather.tmin_c, abs=0.02)
    borrows = gap or days_after < SEASON_DAYS - YEAR_DAYS
    assert np.array_equal(hours[1, YEAR_DAYS:], hours[1, : SEASON_DAYS - YEAR_DAYS]) == borrows


def test_few_seasons_are_simulated_around_and_leave_more_open() -> None:
    tmin, tmax = series(years=18)
    many = site_years(Site(latitude=45.0, daily_records=daily(tmin, tmax)))
    four = 4 * YEAR_DAYS + 1
    few = site_years(Site(latitude=45.0, daily_records=daily(tmin[:four], tmax[:four])))
    assert len(few.seasons.weather.tmin_c) == 200
    assert any(assumption.field == "years" for assumption in few.assumptions)
    assert few.spread.chill_portions > many.spread.chill_portions
    gap = few.seasons.chill_portions_by_day[:, -1].mean() - many.seasons.chill_portions_by_day[:, -1].mean()
    assert abs(gap) < 2.5 * np.hypot(few.spread.chill_portions, many.spread.chill_portions)


def test_a_figure_beside_a_record_is_compared() -> None:
    tmin, tmax = series(years=18)
    body: dict[str, Any] = {"latitude": 45.0, "daily_records": daily(tmin, tmax)}
    told = site_years(Site(**body, coldest_month_mean_c=12.0))
    assert any("coldest_month_mean_c" in warning.words for warning in told.warnings)
    alone = site_years(Site(**body))
    assert np.array_equal(told.seasons.weather.tmin_c, alone.seasons.weather.tmin_c)


def test_a_record_shifted_by_half_a_year_is_that_of_the_mirrored_latitude() -> None:
    """The same days, called 1 January instead of 1 July: the same chill, but for the sun's three days' difference."""
    tmin, tmax = series(years=18)
    july = (dt.date(2000, 7, 1) - FIRST).days
    low, high = tmin[july:], tmax[july:]
    north = read_records(daily(low, high, dt.date(2000, 7, 1)), 45.0, AT)
    south = read_records(daily(low, high, dt.date(2001, 1, 1)), -45.0, AT)
    assert south.weather.south
    count = min(len(north.weather.tmin_c), len(south.weather.tmin_c))
    assert np.abs(north.weather.tmin_c[:count] - south.weather.tmin_c[:count])[0, :160].max() == 0.0
    totals = [record_seasons(record).chill_portions_by_day[:count, 330].mean() for record in (north, south)]
    assert totals[0] == pytest.approx(totals[1], abs=1.5)


def test_warming_of_a_record() -> None:
    tmin, tmax = series(years=18)
    now = site_years(Site(latitude=45.0, daily_records=daily(tmin, tmax)))
    then = site_years(Site(latitude=45.0, daily_records=daily(tmin, tmax), warming_c=2.0))
    assert np.allclose(then.seasons.weather.tmin_c, now.seasons.weather.tmin_c + 2.0, atol=1e-4)
