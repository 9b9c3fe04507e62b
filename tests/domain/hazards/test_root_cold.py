import numpy as np
import pytest

from domain.hazards.root_cold import FIGURES, ground_minimum_c, root_injury_a_year
from domain.weather.weather_generator import DailyWeather
from tests.domain.suitability.winters import COLD_CONTINENT, MILD_COAST, MadeWinter

TENDER = [FIGURES.tender_c]


def frozen_spell(*, snow: bool = False) -> DailyWeather:
    """Ten days at a mean of -25 C in January, with snow on every day of the month before if wanted."""
    made = MadeWinter.of(COLD_CONTINENT).days_of("01-15", 10, -30.0, -20.0)
    wet = np.zeros((1, made.tmin_c.size), dtype=bool)
    if snow:
        wet[0, 160:198] = True
    weather = made.weather
    return DailyWeather(weather.south, weather.latitude, weather.tmin_c, weather.tmax_c, wet)


def test_snow_keeps_roots_that_bare_ground_kills() -> None:
    bare, snowy = ground_minimum_c(frozen_spell())[0], ground_minimum_c(frozen_spell(snow=True))[0]
    assert -18.0 < bare < -12.0
    assert snowy > bare / 2.0
    assert root_injury_a_year(frozen_spell(), TENDER)[0] > 0.9
    assert root_injury_a_year(frozen_spell(snow=True), TENDER)[0] < 0.1


def test_ground_swept_free_of_snow_is_as_bare() -> None:
    assert ground_minimum_c(frozen_spell(snow=True), snow_lies=False) == pytest.approx(
        ground_minimum_c(frozen_spell()), abs=1e-5
    )


def test_one_cold_night_hardly_reaches_the_roots() -> None:
    night = MadeWinter.of(COLD_CONTINENT).days_of("01-15", 1, -30.0, -20.0).weather
    assert ground_minimum_c(night)[0] > ground_minimum_c(frozen_spell())[0] + 4.0


def test_hardier_roots_are_hurt_less_often_and_mild_ground_hurts_none() -> None:
    names = ("tender", "moderate", "hardy", "very_hardy")
    chances = root_injury_a_year(frozen_spell(), [getattr(FIGURES, f"{name}_c") for name in names]).tolist()
    assert chances == sorted(chances, reverse=True)
    assert root_injury_a_year(MadeWinter.of(MILD_COAST).weather, TENDER)[0] < 0.001
