import numpy as np
import pytest

from domain.tree_year.winter_hardening import FIGURES, WINTER_PARTS, hardening_course
from tests.domain.suitability.winters import COLD_CONTINENT, MILD_COAST, MadeWinter, turned


def cold() -> MadeWinter:
    return MadeWinter.of(COLD_CONTINENT)


def test_hardness_comes_in_autumn_and_goes_in_spring() -> None:
    made = cold()
    lacking = made.course().lacking_c[:, :, 0]
    assert made.lacking_c("09-01") == (FIGURES.hardening_c, FIGURES.hardening_c)
    assert max(made.lacking_c("01-10")) < 1.0
    assert made.lacking_c("04-25")[0] == FIGURES.hardening_c
    assert lacking.min() >= 0.0
    assert lacking.max() <= FIGURES.hardening_c


def test_wood_hardens_after_the_buds_and_softens_after_them() -> None:
    course = cold().course()
    wood_less = (course.lacking_c - course.lost_c)[:, :, 0]
    assert (wood_less[:, 1] >= wood_less[:, 0]).all()
    buds, wood = cold().lacking_c("04-01")
    assert buds > wood + 3.0


@pytest.mark.parametrize("south", [False, True])
def test_an_early_plunge_counts_as_colder_than_the_same_in_january(south: bool) -> None:
    normals = turned(COLD_CONTINENT) if south else COLD_CONTINENT
    november, january = ("05-11", "07-20") if south else ("11-11", "01-20")
    early = MadeWinter.of(normals, south=south).days_of(november, 2, -20.0, -10.0).exposure()
    middle = MadeWinter.of(normals, south=south).days_of(january, 2, -20.0, -10.0).exposure()
    assert early.wood_c[0] < middle.wood_c[0] - 6.0
    assert early.buds_c[0] < middle.buds_c[0] - 3.0
    assert WINTER_PARTS[early.wood_part[0]] == "early"
    assert WINTER_PARTS[middle.wood_part[0]] == "middle"


def test_both_halves_of_the_earth_feel_the_same_winter() -> None:
    north = cold().days_of("12-31", 3, -24.0, -14.0).exposure()
    south = MadeWinter.of(turned(COLD_CONTINENT), south=True).days_of("07-02", 3, -24.0, -14.0).exposure()
    assert south.buds_c[0] == pytest.approx(north.buds_c[0], abs=1.0)
    assert south.wood_c[0] == pytest.approx(north.wood_c[0], abs=1.0)


def test_a_plunge_after_a_thaw_counts_as_colder_than_without_it() -> None:
    plain = cold().days_of("02-20", 2, -22.0, -12.0).exposure()
    thawed = cold().days_of("02-12", 8, 4.0, 14.0).days_of("02-20", 2, -22.0, -12.0).exposure()
    assert thawed.buds_c[0] < plain.buds_c[0] - 5.0
    assert thawed.wood_c[0] < plain.wood_c[0] - 1.0
    assert WINTER_PARTS[thawed.buds_part[0]] == "after_thaw"


def test_a_thaw_in_deep_rest_takes_less_than_one_when_rest_is_over() -> None:
    december = cold().days_of("12-10", 5, 4.0, 14.0)
    february = cold().days_of("02-15", 5, 4.0, 14.0)
    assert december.lost_c("12-15")[1] < 0.5 * february.lost_c("02-20")[1]


def test_cold_brings_lost_hardness_back_but_not_all_of_it() -> None:
    made = cold().days_of("02-12", 8, 4.0, 14.0).days_of("02-20", 12, -20.0, -10.0)
    after_thaw, hardened_again = made.lacking_c("02-20")[0], made.lacking_c("03-03")[0]
    never = cold().days_of("02-20", 12, -20.0, -10.0).lacking_c("03-03")[0]
    assert never < 1.0 < hardened_again < after_thaw / 2.0


def test_late_frosts_are_told_as_late() -> None:
    late = cold().days_of("04-02", 2, -18.0, -8.0).exposure()
    assert WINTER_PARTS[late.buds_part[0]] == "late"


def test_nights_that_hurt_no_closed_bud_count_as_they_were() -> None:
    made = MadeWinter.of(MILD_COAST).days_of("02-10", 1, -6.0, 3.0)
    assert made.exposure().buds_c[0] == -6.0
    assert made.exposure().wood_c[0] == -6.0


def test_seasons_are_followed_one_by_one() -> None:
    first, second = cold(), cold().days_of("11-11", 2, -20.0, -10.0)
    both = MadeWinter(np.stack([first.tmin_c, second.tmin_c]), np.stack([first.tmax_c, second.tmax_c]))
    portions = np.concatenate([first.portions(), second.portions()])
    lacking = hardening_course(both.tmin_c, both.tmax_c, portions).lacking_c
    assert np.array_equal(lacking[:, :, 0], first.course().lacking_c[:, :, 0])
    assert np.array_equal(lacking[:, :, 1], second.course().lacking_c[:, :, 0])
