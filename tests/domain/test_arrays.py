"""What is asked of arrays in every room, against the general function of the library."""

import numpy as np
import pytest

from domain.common.arrays import row_medians, row_percentiles


@pytest.mark.parametrize("width", [1, 2, 7, 200, 201])
@pytest.mark.parametrize("kind", [np.float32, np.float64])
def test_medians_of_rows_are_those_of_the_library_to_the_bit(width: int, kind: type[np.floating]) -> None:
    values = np.random.default_rng(width).normal(300.0, 20.0, (40, width)).astype(kind)
    values[3, 0] = np.nan
    values[4, :] = 9999.0
    found = row_medians(values)
    assert found.dtype == kind
    assert np.isnan(found[3])
    np.testing.assert_array_equal(found, np.median(values, axis=1))


@pytest.mark.parametrize("kind", [np.float32, np.float64])
@pytest.mark.parametrize("years", [1, 2, 9, 30, 200])
def test_percentiles_of_all_rows_are_those_of_each(kind: type[np.floating], years: int) -> None:
    """As numpy.percentile tells them of the finite values of a row, to the bit."""
    rng = np.random.default_rng(years)
    values = rng.normal(200.0, 15.0, (40, years)).astype(kind)
    values[::2] = np.round(values[::2])
    values[rng.random(values.shape) < 0.2] = np.nan
    values[1], values[2, :1] = np.nan, np.inf
    found = row_percentiles(values, (10.0, 50.0, 90.0))
    for row, told in zip(values, found, strict=True):
        finite = row[np.isfinite(row)]
        if finite.size:
            assert told.tolist() == np.percentile(finite, [10.0, 50.0, 90.0]).tolist()
        else:
            assert np.isnan(told).all()
