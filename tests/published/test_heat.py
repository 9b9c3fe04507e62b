"""Degree days and growing degree hours against published tables."""

import numpy as np
import pytest

from domain.weather import heat
from tests.published.tables import rows

# Anderson J. L., Richardson E. A., Kesner C. D., Acta Horticulturae 184:71-78, 1986 (ASYMCUR, Tb 4, Tu 25, Tc 36):
# values of the formula by separate code; 14.5 C is the exact mid point, (Tu - Tb) / 2 = 10.5.
ASYMCUR = {
    -8: 0.0, 4: 0.0, 5: 0.1173, 7.2: 1.1803, 10: 3.9534, 14.5: 10.5, 20: 18.1970, 25: 21.0, 30: 7.2479, 36: 0.0,
    44: 0.0,
}  # fmt: skip


@pytest.mark.parametrize("row", rows("degree_days.csv"), ids=lambda row: row["source"])
def test_degree_days_of_the_table(row: dict[str, str]) -> None:
    found = heat.degree_days(float(row["tmin_c"]), float(row["tmax_c"]), float(row["lower_c"]), float(row["upper_c"]))
    assert float(found) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_growing_degree_hours_of_the_curve() -> None:
    found = heat.growing_degree_hours(np.array(list(ASYMCUR), dtype=np.float64))
    assert found == pytest.approx(list(ASYMCUR.values()), abs=1e-4)
