"""The year's events of orchard health at a site: when scab spores fly, when moths fly and when to look for strikes."""

from dataclasses import dataclass

import numpy as np

from domain.hazards.codling_moth import BROODS, CodlingMothYears
from domain.hazards.fruit_diseases import sooty_blotch_arrives
from domain.hazards.infection_weather import InfectionWeather, Orchard
from domain.hazards.insects import FruitInsect
from domain.hazards.scab import spores_spent
from domain.tree_year.curves import Floats
from domain.weather.heat import degree_days

CURCULIO_BASE_C, CURCULIO_EGGS_DD = 10.0, 171.0
"""Plum curculio lays eggs from petal fall until 308 F degree days above 50 F have come (University of Vermont, 2008
degree day accumulation for plum curculio oviposition, after Cornell)."""

SAWFLY_SCARS_DAYS = 14.0
"""Days from petal fall until sawfly scars show (Michigan State University: larvae two to three weeks after it)."""

BANDS_DAYS = 28.0
"""Days from the first egg hatch until larvae leave the fruit: fully grown in about four weeks (NIAB)."""

LEAST_YEARS_IN_TEN = 1.0
"""Events that come less often are not spoken of."""


@dataclass(frozen=True, eq=False)
class HealthEvent:
    """An event of orchard health: season day in every year (years,), NaN in years in which it does not come."""

    event: str
    against: str
    day: Floats
    words: str

    @property
    def years_in_ten(self) -> float:
        """In how many of ten years it comes."""
        return 10.0 * float(np.isfinite(self.day).mean())


def health_events(
    orchard: Orchard,
    diseases: dict[str, InfectionWeather],
    moth: CodlingMothYears,
    insects: tuple[FruitInsect, ...],
) -> tuple[HealthEvent, ...]:
    """The events of a site in the order of the year; of diseases only those that press there (not `low`)."""
    stages = orchard.stages
    present = {insect.insect for insect in insects}
    pressing = {disease for disease, weather in diseases.items() if weather.pressure_class != "low"}
    events: list[HealthEvent] = []
    if "scab" in pressing:
        events += [
            HealthEvent("scab_season_starts", "scab", stages.green_tip, "Green tip: rain now brings scab spores."),
            HealthEvent(
                "scab_season_ends", "scab", spores_spent(orchard), "The spores from last year's leaves are spent."
            ),
        ]
    if "fire_blight" in pressing:
        words = "Flowers open: in warm, wet weather watch for wilting blossoms over the weeks that follow."
        events.append(HealthEvent("fire_blight_watch_starts", "fire_blight", stages.first_bloom, words))
    if "plum_curculio" in present:
        words = "Petals are down: beetles come to lay; tap limbs over a sheet, bag fruitlets."
        events += [
            HealthEvent("plum_curculio_arrives", "plum_curculio", stages.petal_fall, words),
            HealthEvent("plum_curculio_ends", "plum_curculio", _curculio_ends(orchard), "Egg laying is nearly over."),
        ]
    if "apple_sawfly" in present:
        words = "Look for ribbon scars and wet holes on fruitlets, and pick them off."
        day = stages.petal_fall + np.float32(SAWFLY_SCARS_DAYS)
        events.append(HealthEvent("apple_sawfly_scars_show", "apple_sawfly", day, words))
    if "codling_moth" in present:
        events += _moth_events(moth)
    if "sooty_blotch_flyspeck" in pressing:
        words = "So many wet hours have come that sooty blotch and flyspeck are on the fruit."
        events.append(
            HealthEvent("sooty_blotch_arrives", "sooty_blotch_flyspeck", sooty_blotch_arrives(orchard), words)
        )
    come = [event for event in events if event.years_in_ten >= LEAST_YEARS_IN_TEN]
    return tuple(sorted(come, key=lambda event: float(np.nanmedian(event.day))))


ORDINAL = ("first", "second", "third", "fourth")


def _moth_events(moth: CodlingMothYears) -> list[HealthEvent]:
    events = []
    for n in range(len(BROODS)):
        brood = ORDINAL[n]
        flight = f"Codling moths of the {brood} flight are about on warm evenings."
        strikes = f"Eggs of the {brood} brood begin to hatch: bags should be on; look for strikes from now on."
        worst = f"Most eggs of the {brood} brood hatch: look over all fruit and take off what is struck."
        events += [
            HealthEvent(f"codling_moth_{brood}_flight", "codling_moth", moth.flight[n], flight),
            HealthEvent(f"codling_moth_{brood}_strikes", "codling_moth", moth.hatch_begins[n], strikes),
            HealthEvent(f"codling_moth_{brood}_strikes_peak", "codling_moth", moth.hatch_peaks[n], worst),
        ]
    bands = "Larvae leave the fruit from now on: tie cardboard bands round the trunks."
    return [*events, HealthEvent("trunk_bands_on", "codling_moth", moth.hatch_begins[0] + BANDS_DAYS, bands)]


def _curculio_ends(orchard: Orchard) -> Floats:
    after = orchard.within(orchard.stages.petal_fall, np.full_like(orchard.stages.petal_fall, 9999.0))
    daily = degree_days(orchard.tmin_c, orchard.tmax_c, CURCULIO_BASE_C)
    total = np.cumsum(np.where(after, daily, 0.0), axis=1)
    day: Floats = orchard.first_day + (total < CURCULIO_EGGS_DD).sum(axis=1).astype(np.float32)
    return day
