import numpy as np

from domain.common.arrays import UNREACHED, Floats
from domain.tree_year.bloom import BloomDays, bloom_days, full_bloom, moved
from domain.tree_year.clock import SiteClock, site_clock
from domain.tree_year.ripening import first_ripe_day, ripening_days
from tests.domain.made_up_weather import wave_seasons


def one(value: float) -> Floats:
    return np.array([value], dtype=np.float32)


def clock(mean_c: float, half_swing_c: float) -> SiteClock:
    return site_clock(wave_seasons(mean_c, half_swing_c))


def bloom(site: SiteClock, chill: float, offset: float) -> float:
    return float(full_bloom(site, one(chill), one(offset))[0].mean())


def test_a_warmer_spring_blooms_earlier() -> None:
    assert bloom(clock(12.0, 10.0), 45.0, 0.0) < bloom(clock(9.0, 10.0), 45.0, 0.0) - 10.0


def test_late_positions_bloom_later_and_closer_together_in_a_hot_spring() -> None:
    cool, hot = clock(8.0, 8.0), clock(12.0, 15.0)
    assert bloom(cool, 45.0, 8.0) - bloom(cool, 45.0, -8.0) > bloom(hot, 45.0, 8.0) - bloom(hot, 45.0, -8.0) > 3.0


def test_low_chill_cultivars_bloom_weeks_ahead_in_a_mild_winter_only() -> None:
    mild, cold = clock(16.0, 7.0), clock(5.0, 17.0)
    assert bloom(mild, 45.0, 0.0) - bloom(mild, 15.0, 0.0) > 21.0
    assert abs(bloom(cold, 45.0, 0.0) - bloom(cold, 15.0, 0.0)) < 3.0


def test_short_chill_delays_and_stretches_bloom() -> None:
    """The more chill a cultivar is short of, the later and the more raggedly it opens."""
    warm = clock(17.0, 6.0)  # about 63 portions
    plenty = bloom_days(warm, one(20.0), one(0.0), one(13.0))
    met = bloom_days(warm, one(62.0), one(0.0), one(13.0))
    short = bloom_days(warm, one(110.0), one(0.0), one(13.0))
    assert short.full.mean() > met.full.mean() + 5.0
    lengths = [(bloom.end - bloom.first).mean() for bloom in (plenty, met, short)]
    # Low-chill bloom in the cool of winter is drawn out too, though not for want of chill.
    assert lengths[0] * 1.2 < lengths[1] < lengths[2]


def test_first_full_and_end_are_in_order() -> None:
    days = bloom_days(clock(10.0, 10.0), one(45.0), one(0.0), one(13.0))
    assert (days.first < days.full).all()
    assert (days.full < days.end).all()


def test_no_bloom_where_it_is_never_warm() -> None:
    assert (full_bloom(clock(-12.0, 5.0), one(45.0), one(0.0))[0] == UNREACHED).all()


def test_cool_weeks_after_bloom_and_hot_summers_stretch_the_days_to_ripeness() -> None:
    """Three summers after the same day of bloom: cool, middling and hot."""
    full = np.full((1, clock(12.0, 9.0).mean_c.shape[0]), 303.0, dtype=np.float32)
    days = ripening_days(one(20.0), one(0.0))
    cool, usual, hot = (
        float((first_ripe_day(clock(*climate), full, days) - full).mean())
        for climate in ((6.0, 7.0), (12.0, 9.0), (17.0, 13.0))
    )
    assert cool > usual + 2.0
    assert hot > usual + 2.0


def test_a_later_spring_costs_fruit_less_than_the_same_delay() -> None:
    """Iowa State University 2008: a day of picking for about three days of bloom where late cultivars are grown."""
    site, days = clock(11.0, 11.0), ripening_days(one(0.0), one(0.0))
    late, early = (
        float(np.median(first_ripe_day(site, np.full((1, site.mean_c.shape[0]), day, dtype=np.float32), days)))
        for day in (309.0, 297.0)
    )
    assert 0.25 < (late - early) / 12.0 < 0.75


def test_both_hemispheres_give_the_same_season_days() -> None:
    north = site_clock(wave_seasons(10.0, 9.0))
    south = site_clock(wave_seasons(10.0, 9.0, south=True))
    assert abs(bloom(north, 45.0, 0.0) - bloom(south, 45.0, 0.0)) < 2.0


def test_what_does_not_bloom_does_not_bloom_later_either() -> None:
    days = np.array([[300.0, UNREACHED]], dtype=np.float32)
    assert moved(days, np.float32(-5.0)).tolist() == [[295.0, UNREACHED]]
    assert BloomDays(days, days, days).later(one(4.0)).end.tolist() == [[304.0, UNREACHED]]


def test_the_middle_of_days_moved_is_that_of_each_of_them_to_the_bit() -> None:
    rng = np.random.default_rng(4)
    first, full, end = (rng.normal(300.0, 9.0, (20, 200)).astype(np.float32) for _ in range(3))
    full[3, :120], full[4, :7] = UNREACHED, UNREACHED
    later = BloomDays(first, full, end).later(rng.normal(0.0, 6.0, 20).astype(np.float32))
    again = later.later(np.full(20, -2.5, dtype=np.float32))
    for moved_days in (later, again):
        for middle, each in zip(moved_days.middle, (moved_days.first, moved_days.full, moved_days.end), strict=True):
            np.testing.assert_array_equal(middle, np.median(each, axis=1))


def test_cultivars_of_one_need_bloom_as_each_does_alone() -> None:
    site = clock(9.0, 12.0)
    need, offset, length = (
        np.array(values, dtype=np.float32)
        for values in ((45.0, 20.0, 45.0, 62.5, 20.0), (0.0, 3.0, -4.0, 0.0, -8.0), (13.0, 11.0, 15.0, 13.0, 13.0))
    )
    together = bloom_days(site, need, offset, length)
    for row in range(need.size):
        alone = bloom_days(site, need[[row]], offset[[row]], length[[row]])
        for name in ("first", "full", "end"):
            np.testing.assert_array_equal(getattr(alone, name)[0], getattr(together, name)[row])
