"""Degree days and growing degree hours against published tables."""

import numpy as np
import pytest

from domain.weather import heat
from tests.published.cases import Case, parametrized, rows


@pytest.mark.parametrize("row", rows("degree_days.csv"), ids=lambda row: row["source"])
def test_degree_days_of_the_table(row: dict[str, str]) -> None:
    found = heat.degree_days(float(row["tmin_c"]), float(row["tmax_c"]), float(row["lower_c"]), float(row["upper_c"]))
    assert float(found) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@parametrized("growing_degree_hours.csv", lambda case: f"{case['temperature_c']} C")
def test_growing_degree_hours_of_the_curve(case: Case) -> None:
    """14.5 C is the exact mid point, (Tu - Tb) / 2 = 10.5."""
    found = heat.growing_degree_hours(np.array([float(case["temperature_c"])]))
    assert float(found[0]) == pytest.approx(float(case["truth"]), abs=float(case["tolerance"]))
