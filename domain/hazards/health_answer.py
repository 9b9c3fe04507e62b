"""How the health of an orchard at a site is told: disease weather, codling moth and the other insects of the fruit."""

import dataclasses
from typing import Annotated

import numpy as np
from msgspec import Meta, Struct
from numpy.typing import NDArray

from domain.common.season_days import month_day
from domain.hazards.codling_moth import CodlingMothYears
from domain.hazards.hand_methods import hand_methods
from domain.hazards.infection_weather import Class, InfectionWeather
from domain.hazards.insects import Basis
from domain.hazards.site_health import SiteHealth
from domain.site_climate.climate_answer import Years
from domain.site_climate.site import MonthDay

HELD_BACK = 0.6
WANTING = {
    "fire_blight": "fire blight is not known to be established in the region",
    "cedar_apple_rust": "its other hosts, red cedars, are not known to grow wild near",
    "canker": "it is not known to be a trouble of the region, or the summers are too hot for it",
    "glomerella_leaf_spot": "the winters are too cold for it",
}
"""What is wanting where the weather would let a disease press: its germ, its other host, its winter."""

LEAST_BROOD_SHARE = 0.05
"""Below this mean share a brood is not spoken of."""


class DiseaseWeather(Struct, frozen=True, kw_only=True):
    """Infection by one disease over the years of the site, and what can be done by hand where it presses."""

    disease: str
    words: str
    pressure: Class
    pressure_share: Annotated[
        float, Meta(description="0 (hardly seen) to 1 (every year, heavy), for a cultivar that is very susceptible.")
    ]
    measure: Annotated[str, Meta(description="What of the weather is counted each year.")]
    a_year: Years
    hand_methods: tuple[str, ...]


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
    hand_methods: tuple[str, ...]


class FruitInsectHere(Struct, frozen=True, kw_only=True):
    """An insect of the fruit that lives in the region."""

    insect: str
    share_of_fruit: Annotated[float, Meta(description="What it takes of fruit that nothing protects, 0 to 1.")]
    basis: Basis
    hand_methods: tuple[str, ...]


class OrchardHealth(Struct, frozen=True, kw_only=True):
    """What an orchard at the site has to reckon with. codling_moth: null where it does not live."""

    disease_weather: tuple[DiseaseWeather, ...]
    codling_moth: CodlingMoth | None
    other_insects: tuple[FruitInsectHere, ...]


def orchard_health(health: SiteHealth, *, south: bool) -> OrchardHealth:
    """Tell the health of a site."""
    present = {insect.insect for insect in health.insects}
    return OrchardHealth(
        disease_weather=tuple(_disease(weather) for weather in health.diseases.values()),
        codling_moth=_moth(health.moth, south) if "codling_moth" in present else None,
        other_insects=tuple(
            FruitInsectHere(
                insect=insect.insect,
                share_of_fruit=round(insect.pressure, 2),
                basis=insect.basis,
                hand_methods=_methods(insect.insect),
            )
            for insect in health.insects
            if insect.insect != "codling_moth"
        ),
    )


def _disease(weather: InfectionWeather) -> DiseaseWeather:
    pressure = weather.pressure_class
    return DiseaseWeather(
        disease=weather.disease,
        words=_words(weather),
        pressure=pressure,
        pressure_share=round(weather.pressure, 2),
        measure=weather.measure,
        a_year=_years(weather.by_year),
        hand_methods=() if pressure == "low" else _methods(weather.disease),
    )


def _words(weather: InfectionWeather) -> str:
    name = weather.disease.replace("_", " ").replace("sooty blotch flyspeck", "sooty blotch and flyspeck")
    said = f"{name[0].upper()}{name[1:]}: {weather.pressure_class} pressure."
    if weather.pressure_class == "low" and weather.chance_present < HELD_BACK:
        at_hand = dataclasses.replace(weather, chance_present=1.0)
        if at_hand.pressure_class != "low":
            said += f" The weather alone would make it {at_hand.pressure_class}; {WANTING[weather.disease]}."
    return said


def _moth(moth: CodlingMothYears, south: bool) -> CodlingMoth:
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
            if size[n] >= LEAST_BROOD_SHARE
        ),
        hand_methods=_methods("codling_moth"),
    )


def _methods(against: str) -> tuple[str, ...]:
    return tuple(method.words for method in hand_methods(against))


def _years(values: NDArray[np.floating]) -> Years:
    low, high = np.quantile(values, [0.1, 0.9])
    mean, low, high = (round(float(v), 1) + 0.0 for v in (values.mean(), low, high))
    return Years(mean=mean, tenth_percentile=low, ninetieth_percentile=high)
