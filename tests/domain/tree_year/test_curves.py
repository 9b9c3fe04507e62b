import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from domain.common.arrays import UNREACHED, running_total
from domain.tree_year.curves import Curve


def straight(seasons: int = 2, slope: float = 2.0) -> Curve:
    return Curve.of(running_total(np.full((seasons, 100), slope)), level_step=1.0)


def test_day_reached_of_a_straight_line() -> None:
    curve = straight()
    day = curve.day_reached(np.array([[2.0, 50.0]], dtype=np.float32))
    np.testing.assert_allclose(day, [[0.0, 24.0]], atol=1e-3)


def test_a_level_past_the_season_is_unreached() -> None:
    assert (straight().day_reached(np.full((1, 2), 500.0, dtype=np.float32)) == UNREACHED).all()


def test_a_level_on_a_plateau_is_its_first_day() -> None:
    daily = np.zeros((1, 60))
    daily[0, 10] = 5.0
    curve = Curve.of(running_total(daily), level_step=0.5)
    assert abs(float(curve.day_reached(np.array([[4.5]], dtype=np.float32))[0, 0]) - 10.0) < 1.0


@given(st.floats(3.0, 190.0), st.floats(0.5, 2.0))
def test_the_inverse_undoes_the_total(level: float, slope: float) -> None:
    curve = straight(slope=slope)
    asked = np.array([[level * slope / 2.0] * 2], dtype=np.float32)
    back = curve.total_at(curve.day_reached(asked))
    np.testing.assert_allclose(back, asked, atol=0.5)  # half a step of the level
