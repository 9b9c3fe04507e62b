"""What frost leaves, read from tables for the days asked for, against every night of every season by itself."""

import numpy as np
import pytest

from domain.common.arrays import UNREACHED, Floats
from domain.fruit.flower_stages import FLOWER_STAGES
from domain.hazards.frost_at_bloom import (
    DAY_STEP,
    FIGURES,
    FIRST_DAY,
    LAST_DAY,
    FrostTable,
    bloom_kept,
    crop_after_frost,
    killed_share,
    worthwhile_chance,
)
from domain.site_climate.site import Site
from domain.site_climate.site_years import site_years
from domain.tree_year.bloom import release_chill
from domain.tree_year.clock import SiteClock, site_clock

PLACES = [(42.9, -77.0), (46.9, -96.8), (-41.25, 173.1)]


def plain_kept(clock: SiteClock) -> Floats:
    """Share of flowers alive (seasons, full-bloom days): season by season, from every cold night."""
    tmin = clock.seasons.weather.tmin_c - np.float32(FIGURES.bud_deficit_c)
    heat, bloom_day = clock.heat.by_day, np.arange(FIRST_DAY, LAST_DAY, DAY_STEP)
    shares, ten, ninety = (
        np.array([getattr(stage, name) for stage in FLOWER_STAGES]) for name in ("heat_share", "kill_10_c", "kill_90_c")
    )
    usual = np.broadcast_to(release_chill(np.array([[FIGURES.usual_chill_need]])), (1, len(tmin)))
    released = clock.heat.total_at(np.minimum(clock.chill.day_reached(usual), clock.chill_end))[0]
    kept = np.ones((len(tmin), bloom_day.size), dtype=np.float32)
    for season, nights in enumerate(tmin):
        cold = np.nonzero(nights[: LAST_DAY + FIGURES.days_after] < FIGURES.harmless_from_c)[0]
        cold = cold[cold > FIRST_DAY - FIGURES.days_after]
        by_bloom = heat[season, bloom_day]
        whole = np.maximum(by_bloom - released[season], FIGURES.least_bloom_heat_gdh)
        stage = 1.0 - (by_bloom[:, None] - heat[season, cold][None, :]) / whole[:, None]
        ahead = bloom_day[:, None] - cold[None, :]
        exposed = (ahead <= FIGURES.days_before) & (ahead >= -FIGURES.days_after) & (stage >= shares[0])
        tenth, nine = (np.interp(stage, shares, kill) for kill in (ten, ninety))
        killed = np.where(exposed, killed_share(nights[cold][None, :], tenth, nine, FIGURES.crown_spread_c), 0.0)
        kept[season] = 1.0 - killed.max(axis=1, initial=0.0)
    return kept


@pytest.mark.parametrize("place", PLACES)
def test_tables_leave_what_every_night_by_itself_leaves(place: tuple[float, float]) -> None:
    clock = site_clock(site_years(Site(latitude=place[0], longitude=place[1])).seasons)
    plain, tabled = plain_kept(clock), bloom_kept(clock)
    assert np.abs(tabled - plain).max() < 0.03
    assert np.abs(tabled - plain).mean() < 5e-4
    chance = worthwhile_chance(plain)
    assert np.abs(worthwhile_chance(tabled) - chance).mean(axis=0).max() < 0.005


def test_a_table_widens_as_days_are_asked_for_and_stays_the_same() -> None:
    clock = site_clock(site_years(Site(latitude=42.9, longitude=-77.0)).seasons)
    seasons = len(clock.chill_total)
    kept = bloom_kept(clock)
    table = FrostTable(clock)
    none = np.full((1, seasons), UNREACHED, dtype=np.float32)
    assert (table.chance(none) == 0.0).all()
    for middle in (300.0, 350.0, 240.0, 120.0, 418.0):
        days = (middle + np.random.default_rng(2).normal(0.0, 12.0, (5, seasons))).astype(np.float32)
        days[2, 7] = UNREACHED
        assert table.kept(days) == pytest.approx(np.where(days >= UNREACHED, 0.0, crop_after_frost(kept, days)))
        assert table.chance(days) == pytest.approx(crop_after_frost(worthwhile_chance(kept), days))


def test_days_worked_out_beforehand_are_not_worked_out_again() -> None:
    clock = site_clock(site_years(Site(latitude=42.9, longitude=-77.0)).seasons)
    days = [np.full((1, len(clock.chill_total)), day, dtype=np.float32) for day in (290.0, 310.0, 352.0, UNREACHED)]
    table = FrostTable(clock)
    table.work_out(days[-1])
    assert table.edition == 0
    table.work_out(*days)
    worked_out, (first, last) = table.edition, (290.0, 352.0)
    assert worked_out == len(clock.chill_total) * ((last - first) // DAY_STEP + 1)
    for each in days:
        expected = 0.0 if each[0, 0] >= UNREACHED else crop_after_frost(worthwhile_chance(bloom_kept(clock)), each)
        assert table.chance(each) == pytest.approx(expected)
    assert table.edition == worked_out
    for each, chance in zip(days, table.chances(*days), strict=True):
        np.testing.assert_array_equal(chance, table.chance(each))


def test_of_no_cultivar_nothing_is_told_and_nothing_worked_out() -> None:
    clock = site_clock(site_years(Site(latitude=42.9, longitude=-77.0)).seasons)
    table, seasons = FrostTable(clock), len(clock.chill_total)
    none = np.empty((0, seasons), dtype=np.float32)
    assert table.chance(none).shape == table.kept(none).shape == (0, seasons)
    assert table.edition == 0
    table.work_out(none, np.full((1, seasons), 300.0, dtype=np.float32))
    assert table.edition == seasons
