"""How the health of an orchard at a site is told: disease weather, codling moth and the other insects of the fruit."""

import dataclasses
from typing import Annotated

import msgspec
import numpy as np
from msgspec import Meta, Struct
from numpy.typing import NDArray

from domain.common.season_days import month_day
from domain.fruit.diseases import DISEASE_BY_ID, DiseaseId
from domain.fruit.insects import InsectId, Presence
from domain.hazards.codling_moth import CodlingMothYears
from domain.hazards.hand_methods import hand_methods
from domain.hazards.infection_weather import Class, InfectionWeather
from domain.hazards.site_health import SiteHealth
from domain.site_climate.climate_answer import Years
from domain.site_climate.site import MonthDay
from domain.tables.parameters import figures
from domain.tables.words import Sentence, Value, say


class HealthWordFigures(msgspec.Struct, frozen=True):
    """Presence below which the answer says what is wanting, and the mean share below which a brood is left out."""

    held_back: float
    least_brood_share: float


FIGURES = figures("hazards", "health_answer", HealthWordFigures)


class DiseaseWeather(Struct, frozen=True, kw_only=True):
    """Infection by one disease over the years of the site, and what can be done by hand where it presses."""

    disease: DiseaseId
    code: str
    values: dict[str, Value]
    words: str
    pressure: Class
    pressure_share: Annotated[
        float, Meta(description="0 (hardly seen) to 1 (every year, heavy), for a cultivar that is very susceptible.")
    ]
    measure: Annotated[str, Meta(description="What of the weather is counted each year.")]
    a_year: Years
    hand_methods: tuple[Sentence, ...]


class Brood(Struct, frozen=True, kw_only=True):
    """One brood of codling moth: median dates of the years in which it comes."""

    brood: Annotated[int, Meta(description="1 is the brood of the overwintered moths.")]
    size: Annotated[float, Meta(description="Mean over all years, 1 for a full brood.")]
    first_moths: MonthDay | None
    first_strikes: MonthDay | None
    most_strikes: MonthDay | None


class CodlingMoth(Struct, frozen=True, kw_only=True):
    """Codling moth at the site by degree days above 10 C, cut off at 31.1 C, and when to look for strikes."""

    broods_a_year: Years
    broods: tuple[Brood, ...]
    hand_methods: tuple[Sentence, ...]


class FruitInsectHere(Struct, frozen=True, kw_only=True):
    """An insect of the fruit that lives in the region."""

    insect: InsectId
    share_of_fruit: Annotated[float, Meta(description="What it takes of fruit that nothing protects, 0 to 1.")]
    basis: Presence
    hand_methods: tuple[Sentence, ...]


class OrchardHealth(Struct, frozen=True, kw_only=True):
    """What an orchard at the site has to reckon with. codling_moth: null where it does not live."""

    disease_weather: tuple[DiseaseWeather, ...]
    codling_moth: CodlingMoth | None
    other_insects: tuple[FruitInsectHere, ...]


def orchard_health(health: SiteHealth, *, south: bool) -> OrchardHealth:
    """Tell the health of a site."""
    moth = next((insect.insect for insect in health.insects if insect.by_brood), None)
    return OrchardHealth(
        disease_weather=tuple(_disease(weather) for weather in health.diseases.values()),
        codling_moth=None if moth is None else _moth(health.moth, moth, south),
        other_insects=tuple(
            FruitInsectHere(
                insect=insect.insect,
                share_of_fruit=round(insect.pressure, 2),
                basis=insect.basis,
                hand_methods=_methods(insect.insect),
            )
            for insect in health.insects
            if not insect.by_brood
        ),
    )


def _disease(weather: InfectionWeather) -> DiseaseWeather:
    pressure, said = weather.pressure_class, _said(weather)
    return DiseaseWeather(
        disease=weather.disease,
        code=said.code,
        values=said.values,
        words=said.words,
        pressure=pressure,
        pressure_share=round(weather.pressure, 2),
        measure=weather.measure,
        a_year=_years(weather.by_year),
        hand_methods=() if pressure == "low" else _methods(weather.disease),
    )


def _said(weather: InfectionWeather) -> Sentence:
    disease, pressure = weather.disease, weather.pressure_class
    by_weather = dataclasses.replace(weather, chance_present=1.0).pressure_class
    held_back = pressure == "low" != by_weather and weather.chance_present < FIGURES.held_back
    if held_back and DISEASE_BY_ID[disease].wanting:
        return say("disease_held_back", disease=disease, pressure=pressure, by_weather=by_weather, wanting=disease)
    return say("disease_pressure", disease=disease, pressure=pressure)


def _moth(moth: CodlingMothYears, insect: str, south: bool) -> CodlingMoth:
    def date(days: NDArray[np.floating]) -> str | None:
        return None if np.isnan(days).all() else month_day(float(np.nanmedian(days)), south)

    size = moth.share.mean(axis=1)
    return CodlingMoth(
        broods_a_year=_years(moth.generations),
        broods=tuple(
            Brood(
                brood=n + 1,
                size=round(float(size[n]), 2),
                first_moths=date(moth.flight[n]),
                first_strikes=date(moth.hatch_begins[n]),
                most_strikes=date(moth.hatch_peaks[n]),
            )
            for n in range(len(size))
            if size[n] >= FIGURES.least_brood_share
        ),
        hand_methods=_methods(insect),
    )


def _methods(against: str) -> tuple[Sentence, ...]:
    return tuple(say(method.code) for method in hand_methods(against))


def _years(values: NDArray[np.floating]) -> Years:
    low, high = np.quantile(values, [0.1, 0.9])
    mean, low, high = (round(float(v), 1) + 0.0 for v in (values.mean(), low, high))
    return Years(mean=mean, tenth_percentile=low, ninetieth_percentile=high)
