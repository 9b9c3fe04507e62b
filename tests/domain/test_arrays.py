"""What is asked of arrays in every room, against the general function of the library."""

import numpy as np
import pytest

from domain.common.arrays import row_medians


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
