"""Made-up orchards: a plain yearly wave of warmth, and rain at random with a given share of wet days."""

import dataclasses

import numpy as np

from domain.common.season_days import YEAR_DAYS
from domain.fruit.diseases import DISEASES
from domain.hazards.infection_weather import Orchard
from domain.tree_year.stages import TreeStages
from tests.domain.made_up_weather import wave

YEARS = 20


def with_present(place: Orchard, disease: str, share: float) -> Orchard:
    """The same orchard where a disease is there so far."""
    return dataclasses.replace(place, present={**place.present, disease: share})


def orchard(
    mean_c: float, half_swing_c: float, wet_share: float, *, half_range_c: float = 5.0, full_bloom: float = 300.0
) -> Orchard:
    """An orchard whose middling tree is in full bloom on a season day (300: 27 April)."""
    weather = wave(mean_c, half_swing_c, half_range_c, count=YEARS)
    first = weather.tmin_c.shape[1] - YEAR_DAYS
    bloom = np.full(YEARS, full_bloom, dtype=np.float32)
    rain = np.random.default_rng(3).random((YEARS, YEAR_DAYS)) < wet_share
    return Orchard(
        first_day=first,
        tmin_c=weather.tmin_c[:, first:],
        tmax_c=weather.tmax_c[:, first:],
        wet=rain.astype(np.float32),
        stages=TreeStages(bloom - 30.0, bloom - 5.0, bloom, bloom + 8.0, bloom + 135.0),
        winter_minimum_c=weather.tmin_c.min(axis=1),
        winter_mean_c=mean_c - half_swing_c,
        present=dict.fromkeys(DISEASES, 1.0),
    )
