"""Shrinkage of the shift from dates seen: closed forms for one part, and what more dates must do."""

import pytest

from domain.tree_year.dates_seen import Residual, Shifts, shifts


def of(*seen: tuple[str, int, float], site: float = 5.0, own: float = 3.0, eye: float = 2.0) -> Shifts:
    residuals = [Residual(cultivar, year, days, 6.0) for cultivar, year, days in seen]
    return shifts(residuals, site, {cultivar: own for cultivar, _, _ in seen}, eye)


def test_one_date_is_weighed_by_its_share_of_the_variance() -> None:
    total = 25.0 + 9.0 + 36.0 + 4.0
    found = of(("a", 2020, 10.0))
    assert found.site.days == pytest.approx(10.0 * 25.0 / total)
    assert found.own["a"].days == pytest.approx(10.0 * 9.0 / total)
    assert found.site.spread_days == pytest.approx((25.0 - 25.0**2 / total) ** 0.5)


def test_no_date_moves_nothing() -> None:
    assert shifts([], 5.0, {}, 2.0).site.days == 0.0


def test_one_date_moves_a_little_and_five_years_a_lot() -> None:
    one, five = of(("a", 2020, 10.0)), of(*(("a", 2016 + n, 10.0) for n in range(5)))
    assert one.site.days + one.own["a"].days < 5.0
    assert 7.0 < five.site.days + five.own["a"].days < 10.0
    assert five.site.spread_days < one.site.spread_days


def test_five_dates_of_one_spring_tell_little_more_of_the_site_than_one() -> None:
    same = of(*(("abcde"[n], 2020, 10.0) for n in range(5)))
    apart = of(*(("abcde"[n], 2016 + n, 10.0) for n in range(5)))
    assert of(("a", 2020, 10.0)).site.days < same.site.days < apart.site.days


def test_a_cultivar_that_differs_from_the_others_has_a_shift_of_its_own() -> None:
    seen = [(name, year, 12.0 if name == "late" else 0.0) for name in ("late", "b", "c") for year in range(2015, 2021)]
    found = of(*seen)
    assert found.own["late"].days > 5.0 > abs(found.own["b"].days)
    assert list(found.days(["late", "never seen"])) == pytest.approx(
        [found.site.days + found.own["late"].days, found.site.days], abs=1e-5
    )
