"""Frost dates of years simulated from normals against published freeze dates (NOAA normals 1981-2010)."""

import numpy as np
import pytest

from domain.common.season_days import season_day
from domain.weather.frost_dates import first_autumn_frost_days, last_spring_frost_days
from tests.published.cases import rows
from tests.published.tables import recorded, simulated


def errors(event: str, probability: int) -> list[float]:
    """Days by which simulated dates come late, over all places with the published date."""
    found = []
    for row in rows("freeze_dates.csv"):
        if row["event"] != event or int(row["probability_pct"]) != probability:
            continue
        years, threshold = simulated(row["place_id"]), float(row["threshold_c"])
        if event == "last_spring":
            # A frost still comes on or after the date with the probability: 90 % is the early side.
            days = np.nan_to_num(last_spring_frost_days(years, threshold), nan=-np.inf)
            date = np.quantile(days, 1 - probability / 100, method="inverted_cdf")
        else:
            days = np.nan_to_num(first_autumn_frost_days(years, threshold), nan=np.inf)
            date = np.quantile(days, probability / 100, method="inverted_cdf")
        found.append(float(date) - season_day(row["date"], years.south))
    return found


@pytest.mark.parametrize("event", ["last_spring", "first_autumn"])
def test_median_dates(event: str) -> None:
    found = np.array(errors(event, 50))
    assert len(found) >= 24
    assert np.median(np.abs(found)) <= 7
    assert np.abs(found[np.isfinite(found)]).mean() <= 10


@pytest.mark.parametrize("event", ["last_spring", "first_autumn"])
def test_dates_of_nine_years_in_ten(event: str) -> None:
    assert np.median(np.abs(errors(event, 90))) <= 9


def test_dates_in_records() -> None:
    # Separate code on the same open series: mean and standard deviation of the last freeze, day of the year, and years
    # without (Brussels 1976-2005, Champion 1982-2018, Tunis 1979-2001).
    for place, mean_day, spread, without in (("brussels", 97.9, 17.7, 0), ("champion", 129.6, 12.5, 0)):
        days = last_spring_frost_days(recorded(place)) - 184 + 1  # 1 January is season day 184
        assert np.nanmean(days) == pytest.approx(mean_day, abs=1.5)
        assert np.nanstd(days) == pytest.approx(spread, abs=1.5)
        assert np.isnan(days).sum() == without
    assert np.isnan(last_spring_frost_days(recorded("tunis"))).mean() > 0.6
