import dataclasses

import numpy as np
import pytest

from domain.hazards.frost_at_bloom import (
    DAY_STEP,
    FIGURES,
    FIRST_DAY,
    bloom_kept,
    crop_after_frost,
    killed_share,
    worthwhile_chance,
)
from domain.tree_year.bloom import full_bloom
from domain.tree_year.clock import SiteClock, site_clock
from domain.weather.seasons import seasons
from tests.domain.made_up_weather import wave


def frosty(day_after_bloom: int, bud_c: float) -> tuple[SiteClock, float]:
    """A site with one frost night so many days after the full bloom of a cultivar, and that day of bloom."""
    plain = wave(12.0, 10.0, half_range_c=3.0)
    clock = site_clock(seasons(plain))
    bloom = float(full_bloom(clock, np.array([45.0]), np.array([0.0]))[0].mean())
    tmin = plain.tmin_c.copy()
    tmin[:, round(bloom) + day_after_bloom] = bud_c + FIGURES.bud_deficit_c
    frozen = dataclasses.replace(clock.seasons, weather=dataclasses.replace(plain, tmin_c=tmin))
    return dataclasses.replace(clock, seasons=frozen), bloom


def kept_at(clock: SiteClock, bloom: float) -> float:
    return float(bloom_kept(clock)[0, round((bloom - FIRST_DAY) / DAY_STEP)])


@pytest.mark.parametrize(("bud_c", "killed"), [(-2.2, 0.10), (-3.9, 0.90)])
def test_the_curve_goes_through_the_two_points_of_its_table(bud_c: float, killed: float) -> None:
    """Michigan, Pennsylvania and Utah services: -2.2 C kills a tenth, -3.9 C nine tenths of open flowers.

    These two define the curve; what it does elsewhere is compared in tests/published/test_bud_kill.py.
    """
    ten, ninety = (np.array([degrees]) for degrees in (-2.2, -3.9))
    assert float(killed_share(np.array([bud_c]), ten, ninety)[0]) == pytest.approx(killed, abs=0.01)


def test_a_crown_loses_less_suddenly_than_a_chamber_of_buds() -> None:
    mild, hard = kept_at(*frosty(0, -2.2)), kept_at(*frosty(0, -3.9))
    assert 0.6 < mild < 0.9
    assert 0.1 < hard < 0.35


def test_tight_buds_stand_what_flowers_do_not() -> None:
    assert kept_at(*frosty(-25, -4.0)) > 0.85
    assert kept_at(*frosty(0, -4.0)) < 0.3


def test_no_frost_after_four_weeks_counts() -> None:
    assert kept_at(*frosty(35, -6.0)) == 1.0


def test_a_tenth_killed_is_no_lost_year_and_nine_tenths_not_always_one() -> None:
    tenth, nine, all_but_one = worthwhile_chance(np.array([0.9, 0.1, 0.01]))
    assert tenth > 0.99
    assert 0.4 < nine < 0.9
    assert all_but_one < 0.05


def test_crop_is_read_at_the_day_of_bloom() -> None:
    clock, bloom = frosty(0, -6.0)
    days = np.array([[bloom] * 3, [bloom + 45.0] * 3], dtype=np.float32)
    at_bloom, later = crop_after_frost(worthwhile_chance(bloom_kept(clock)), days).mean(axis=1)
    assert at_bloom < 0.5 < later
