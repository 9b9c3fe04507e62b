"""What is stored of the rules fitted to stations is what a fit gives."""

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from domain.adoption.climates import station_rules
from domain.weather.station_rules import stored_rules, symmetric, upper_triangle


@pytest.fixture(scope="module")
def fitted() -> dict[str, NDArray[Any]]:
    return station_rules()


def test_stored_rules_are_those_of_a_fit(fitted: dict[str, NDArray[Any]]) -> None:
    """To 1e-9 of the largest: what libraries of linear algebra may differ in."""
    stored = stored_rules()
    assert set(stored) == set(fitted)
    assert stored["place_id"].tolist() == fitted["place_id"].tolist()
    for name in set(fitted) - {"place_id"}:
        assert np.abs(stored[name] - fitted[name]).max() <= 1e-9 * np.abs(fitted[name]).max(), name


def test_a_symmetric_matrix_comes_back_from_its_upper_triangle() -> None:
    square = np.array([[1.0, 2.0, 3.0], [2.0, 4.0, 5.0], [3.0, 5.0, 6.0]])
    assert upper_triangle(square).tolist() == [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
    assert np.array_equal(symmetric(upper_triangle(square), 3), square)
