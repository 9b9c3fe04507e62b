"""Chill models against published tables, and against a plain loop over the published recursion."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from domain.weather import chill
from tests.published.cases import Case, cases, parametrized, rows
from tests.published.tables import open_series, simulated_seasons


def plain_portions(hours: list[float], zero_c_in_k: float = 273.0) -> float:
    """Fishman, Erez and Couvillon 1987, hour by hour: kept apart as the oracle of the fast form."""
    slope, draining, a0, a1, e0, e1 = 1.6, 277.0, 139500.0, 2.567e18, 4153.5, 12888.8
    product = share = total = 0.0
    for celsius in hours:
        kelvin = celsius + zero_c_in_k
        entry = product if product < 1 else product - product * share
        equilibrium = a0 / a1 * math.exp((e1 - e0) / kelvin)
        product = equilibrium - (equilibrium - entry) * math.exp(-a1 * math.exp(-e1 / kelvin))
        ratio = math.exp(slope * draining * (kelvin - draining) / kelvin)
        share = ratio / (1 + ratio)
        total += product * share if product >= 1 else 0.0
    return total


@pytest.mark.parametrize("row", rows("chill_and_heat.csv"), ids=lambda row: f"{row['temperature_c']} {row['source']}")
def test_utah_units_of_the_table(row: dict[str, str]) -> None:
    found = chill.utah_units(np.array([float(row["temperature_c"])]))
    assert float(found[0]) == float(row["expected"])


def test_portions_at_constant_temperatures() -> None:
    constant = cases("chill_portions_constant.csv")
    hours = np.tile(np.array([float(case["temperature_c"]) for case in constant]), (2400, 1))
    found = chill.chill_portions(hours)
    for case, portions in zip(constant, found, strict=True):
        assert portions == pytest.approx(float(case["truth"]), abs=float(case["tolerance"])), case["temperature_c"]


@parametrized("chill_portions_cycles.csv", lambda case: f"{case['hours_16_c']} and {case['hours_8_c']} C")
def test_portions_of_daily_cycles(case: Case) -> None:
    day = [float(case["hours_16_c"])] * 16 + [float(case["hours_8_c"])] * 8
    found = float(chill.chill_portions(np.tile(np.array(day), 100)))
    assert found == pytest.approx(float(case["truth"]), abs=float(case["tolerance"]))


def test_the_zero_of_the_kelvin_scale_matters_as_published() -> None:
    warmer = chill.DynamicModel(zero_c_in_k=273.15)
    found = [float(chill.chill_portions(np.full(2400, t), warmer)) for t in (4.0, 6.0, 8.0, 10.0)]
    assert found == pytest.approx([74.217, 83.461, 83.261, 77.669], abs=6e-4)


def test_best_and_useless_temperatures() -> None:
    # Erez A. et al., Acta Horticulturae 276:165-174, 1990, abstract: best near 6 C, no effect at -2 and at 14 C.
    temperatures = np.arange(-4, 17)
    found = chill.chill_portions(np.tile(temperatures.astype(np.float64), (2400, 1)))
    assert abs(int(temperatures[np.argmax(found)]) - 6) <= 1
    assert found[temperatures <= -2].max() < 1
    assert found[temperatures >= 14].max() == 0


@pytest.mark.parametrize("mean_c", [-9.0, 1.0, 5.0, 12.0])
def test_equal_to_the_plain_loop(mean_c: float) -> None:
    hours = np.random.default_rng(7).normal(mean_c, 6.0, (3000, 5))
    expected = [plain_portions(winter.tolist()) for winter in hours.T]
    assert chill.chill_portions(hours) == pytest.approx(expected, abs=1e-9)


def test_equal_to_the_plain_loop_on_real_hours() -> None:
    for place in ("illinois", "uk"):
        hours = open_series()[f"{place}_hourly"][:15_000]
        assert float(chill.chill_portions(hours)) == pytest.approx(plain_portions(hours.tolist()), abs=1e-9)


# Separate code on the series of the package eemeter, hours in UTC from 1 November to the end of February: hours below
# 7.2 C, from 0 to 7.2 C, Utah units, portions.
SERIES_TOTALS = (1923, 1562, 1845.0, 84.755)


def test_totals_of_an_open_series() -> None:
    # 1 November 2020 00:00 is hour 5135 of a series that starts on 1 April 2020 at 01:00; 120 days follow.
    hours = open_series()["uk_hourly"][5135 : 5135 + 2880]
    below, between, utah, portions = SERIES_TOTALS
    assert int(chill.hours_below_7_2c(hours)) == pytest.approx(below, abs=12)  # the series is rounded to tenths here
    assert int(chill.hours_0_to_7_2c(hours)) == pytest.approx(between, abs=25)
    assert float(chill.utah_total(hours)) == pytest.approx(utah, abs=15)
    assert float(chill.chill_portions(hours)) == pytest.approx(portions, abs=0.3)


def simulated_totals(row: dict[str, str]) -> NDArray[np.float64]:
    totals = simulated_seasons(row["place_id"]).chill_totals(row["counted_from"], row["counted_to"])
    by_name: dict[str, NDArray[np.float64]] = {str(name): total for name, total in totals.items()}
    return by_name[row["measure"]]


def test_chill_from_normals_is_near_published_chill() -> None:
    """Over places with published chill the median error is at most 12 % or 4 portions, no place misses by twice it."""
    misses = []
    for row in rows("winter_chill.csv"):
        totals = simulated_totals(row)
        found = float(np.quantile(totals, 0.1) if row["statistic"] == "tenth percentile" else totals.mean())
        low, high = float(row["low"]), float(row["high"])
        allowed = 4.0 if row["measure"] == "chill_portions" else 0.0
        allowed = max(allowed, 0.12 * (low + high) / 2)
        misses.append(max(low - found, found - high, 0.0) / allowed)
    assert np.median(misses) <= 1.0
    assert max(misses) <= 2.6


def test_spread_between_years_is_that_of_mild_places() -> None:
    # Department of Primary Industries and Regional Development, Western Australia, 2019: between the year in ten with
    # least and the one with most chill lie 16 to 24 portions at six places with 38 to 78 portions.
    for place in ("cl-talca", "ar-buenos-aires", "ar-cordoba"):
        totals = simulated_seasons(place).chill_totals("04-01", "10-31")["chill_portions"]
        low, high = np.quantile(totals, [0.1, 0.9])
        assert 14 <= high - low <= 32
