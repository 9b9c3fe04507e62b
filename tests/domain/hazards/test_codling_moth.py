import numpy as np
import pytest

from domain.common.season_days import month_day
from domain.hazards.codling_moth import FIGURES, codling_moth, critical_day, escaped_share
from domain.weather.heat import degree_days
from tests.domain.made_up_weather import wave


def test_warmer_summers_bring_more_broods() -> None:
    broods = [float(codling_moth(wave(mean, 11.0)).generations.mean()) for mean in (5.0, 8.0, 11.0, 15.0)]
    assert broods == sorted(broods)
    assert broods[0] < 1.1
    assert 2.0 < broods[2] <= len(FIGURES.flight_dd)


def test_no_moth_where_no_summer_hatches_an_egg() -> None:
    cold = codling_moth(wave(0.0, 9.0))
    assert cold.generations.max() == 0.0
    assert np.isnan(cold.flight).all()


def test_hatch_follows_flight_and_brood_follows_brood() -> None:
    moth = codling_moth(wave(13.0, 12.0))
    assert (moth.flight[:3] < moth.hatch_begins[:3]).all()
    assert (moth.hatch_begins[:3] < moth.hatch_peaks[:3]).all()
    assert (np.diff(moth.flight[:3], axis=0) > 0).all()
    assert np.isnan(moth.flight[3]).all()


def test_the_south_has_its_year_half_a_year_later() -> None:
    """The same wave, sun mirrored: the same season days but for the three days by which the seasons' halves differ."""
    north, south = codling_moth(wave(10.0, 11.0)), codling_moth(wave(10.0, 11.0, south=True))
    assert south.hatch_begins[0] == pytest.approx(north.hatch_begins[0], abs=4.0)
    assert south.generations.mean() == pytest.approx(north.generations.mean(), abs=0.2)


def test_larvae_go_dormant_in_high_summer_and_earlier_on_the_calendar_in_the_south_of_the_range() -> None:
    assert month_day(critical_day(47.4), south=False)[:2] == "08"
    assert month_day(critical_day(-41.0), south=True)[:2] in {"01", "02"}
    for latitude in (0.0, 20.0, 35.0, 55.0, 66.0, -10.0, -45.0):
        assert 365 <= critical_day(latitude) < 549


def test_larvae_still_in_the_fruit_as_the_days_grow_short_give_no_second_brood() -> None:
    """Of a cool summer whose eggs all hatch, but none of whose larvae is full grown by the critical day."""
    weather = wave(5.0, 11.0)
    moth = codling_moth(weather)
    days = slice(184, critical_day(weather.latitude) + 1)
    warmth = degree_days(weather.tmin_c[:, days], weather.tmax_c[:, days], FIGURES.lower_c, FIGURES.upper_c).sum(axis=1)
    assert (warmth > FIGURES.hatch_begins_dd[0]).all()
    assert (warmth < FIGURES.hatch_begins_dd[0] + FIGURES.larva_dd).all()
    assert (moth.share[0] > 0.5).all()
    assert (moth.share[1] == 0.0).all()


def test_fruit_picked_early_escapes_the_later_broods() -> None:
    moth = codling_moth(wave(12.0, 12.0))
    escaped = escaped_share(moth, np.array([320.0, 360.0, 400.0, 520.0, np.nan]))
    assert (np.diff(escaped[:4]) <= 0.0).all()
    assert escaped[0] > 0.9
    assert escaped[3] == pytest.approx(0.0, abs=0.05)
    assert escaped[4] == 0.0
    assert escaped_share(codling_moth(wave(0.0, 9.0)), np.array([400.0]))[0] == 0.0
