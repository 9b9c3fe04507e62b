"""What counts as a difference when the simulated climates are computed again (the computing itself takes minutes)."""

import numpy as np

from domain.adoption.climates import REGIMES, arrays_that_differ, winters_that_differ


def test_a_tenth_is_rounding_and_more_is_a_difference() -> None:
    standing = {"a": np.array([[10, 20], [30, 40]], dtype=np.int32), "b": np.array([1], dtype=np.int32)}
    assert arrays_that_differ(standing, {**standing, "a": standing["a"] + 1}) == []
    assert arrays_that_differ(standing, {**standing, "a": standing["a"] + np.array([[0, 2], [0, -2]])}) == [
        "regimes.npz, a: 2 figures differ by more than a tenth"
    ]


def test_a_missing_array_and_another_shape_are_told() -> None:
    standing = {"a": np.zeros((2, 3), dtype=np.int32), "b": np.zeros(1, dtype=np.int32)}
    assert arrays_that_differ(standing, {"a": np.zeros((3, 2), dtype=np.int32)}) == [
        "regimes.npz, a: (2, 3) stands, (3, 2) is computed",
        "regimes.npz: b stands or is computed alone",
    ]


def test_a_winter_within_a_tenth_is_the_same() -> None:
    town = {"place": "Exton", "simulated_c": "-9.7", "coldest_nights_c": "-0.4"}
    assert winters_that_differ([town], [town | {"simulated_c": "-9.8"}]) == []
    (line,) = winters_that_differ([town], [town | {"simulated_c": "-9.9"}])
    assert "Exton, simulated_c: -9.7 stands, -9.9 is computed" in line
    (line,) = winters_that_differ([town | {"coldest_nights_c": ""}], [town])
    assert "blank stands" in line


def test_the_committed_regimes_are_kept_in_tenths() -> None:
    with np.load(REGIMES) as stored:
        assert all(np.issubdtype(stored[name].dtype, np.integer) for name in stored.files)
