"""From a request to the calendars: stages, frost, what is the site's own, and the work, with its cautions."""

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec
import numpy as np
from msgspec.structs import replace

from domain.common.arrays import Floats, row_percentiles
from domain.common.cautions import Caution
from domain.common.season_days import SEASON_DAYS
from domain.fruit.diseases import DISEASE_BY_ID
from domain.fruit.insects import INSECTS
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.site_fit import SiteFit, site_fit
from domain.suitability.without_winter import (
    rains_begin,
    site_cautions,
    site_words,
    stripped_tree,
    verdict_without_winter,
)
from domain.tables import cautions
from domain.tables.cultivars import Cultivar
from domain.tables.parameters import figures
from domain.tables.words import Sentence, Value, say
from domain.traits.catalogue import Catalogue
from domain.traits.trait_table import TraitTable
from domain.tree_year.leaf_stripping import cycles
from domain.weather.frost_dates import last_spring_frost_days
from domain.year_of_work.calendar_answer import (
    Day,
    Job,
    SeasonCalendars,
    SeasonCalendarsRequest,
    SiteEvent,
    SiteEventCode,
    StrippedCalendar,
    YearsAre,
)
from domain.year_of_work.on_this_day import on_a_stripped_day, on_this_day
from domain.year_of_work.stages import StageDays, stage_days
from domain.year_of_work.tree_calendars import cultivar_calendars, days_of_years
from domain.year_of_work.trees_told import trees_told
from domain.year_of_work.work import place_of_work, stripped_work, work


class SiteEventFigures(msgspec.Struct, frozen=True):
    """Which frost of a site's year is told."""

    severe_frost_c: float
    small_brood: float


FIGURES = figures("year_of_work", "calendars", SiteEventFigures)
FROST_C = 0.0
TAKES_FRUIT = frozenset(INSECTS) | {disease for disease, row in DISEASE_BY_ID.items() if row.on_fruit_alone}


def season_calendars(
    request: SeasonCalendarsRequest, catalogue: Catalogue, conditions: SiteConditions
) -> SeasonCalendars:
    """The calendars of the cultivars asked for, at the site of these conditions."""
    told = trees_told(request, catalogue.tables)
    ids = told.ids
    traits = catalogue.choose([catalogue.tables.by_id[cultivar_id] for cultivar_id in ids])
    recorded = conditions.years.seasons.weather.first_years is not None
    years_are: YearsAre = "recorded" if recorded else "simulated"
    if conditions.years.without_winter:
        found = _without_winter(traits.cultivars, conditions, years_are)
        if request.on is None or not conditions.years.leaf_stripping:
            return found
        return replace(found, on_this_day=on_a_stripped_day(request.on[-5:], found.stripped, told, found.work))
    fit = site_fit(conditions, traits)
    stages = stage_days(conditions, traits, fit)
    jobs = work(traits.cultivars, stages, place_of_work(conditions, fit), fit.storage_weeks, told)
    events = _site_events(conditions, stages, fit)
    return SeasonCalendars(
        years_are=years_are,
        calendars=cultivar_calendars(conditions, fit, stages, request.years),
        site_events=events,
        work=jobs,
        on_this_day=None if request.on is None else on_this_day(request.on[-5:], fit, told, jobs, events),
        stripped=(),
        cautions=_cautions(jobs, chill_is_short(conditions, traits)),
        assumptions=conditions.years.assumptions,
        warnings=(*conditions.years.warnings, *site_words(conditions), *_unsure(conditions)),
    )


def _unsure(conditions: SiteConditions) -> tuple[Sentence, ...]:
    """What is said of insects whose region is not known."""
    unsure = conditions.health.unsure
    return (say("calendar_insects_unsure", insects=unsure),) if unsure else ()


def _without_winter(cultivars: Sequence[Cultivar], conditions: SiteConditions, years_are: YearsAre) -> SeasonCalendars:
    """No calendar of a winter that is none: each cultivar's cycles from the days of stripping, if told."""
    days = conditions.years.leaf_stripping
    stripped = []
    grown = []
    for cultivar in cultivars:
        verdict, said = verdict_without_winter(cultivar, conditions.years)
        if verdict != "not_here":
            grown.append(cultivar)
        stripped.append(
            StrippedCalendar(
                cultivar=cultivar.name,
                id=cultivar.id,
                verdict=verdict,
                code=said.code,
                values=said.values,
                words=said.words,
                stripped=stripped_tree(cultivar, () if verdict == "not_here" else days),
            )
        )
    return SeasonCalendars(
        years_are=years_are,
        calendars=(),
        site_events=(),
        work=stripped_work(grown, cycles(days), rains_begin(conditions.years)) if grown else (),
        on_this_day=None,
        stripped=tuple(stripped),
        cautions=(cautions.LADDERS, cautions.SPRAYS, *site_cautions(conditions)),
        assumptions=conditions.years.assumptions,
        warnings=(*conditions.years.warnings, *site_words(conditions)),
    )


def _site_events(conditions: SiteConditions, stages: StageDays, fit: SiteFit) -> tuple[SiteEvent, ...]:
    """Frosts, the end of the season, diseases and insects about the earliest of the trees, in the order of the year.

    What takes fruit is told while some hangs.
    """
    last = float(np.nanmax(fit.harvest_last)) if np.isfinite(fit.harvest_last).any() else np.inf
    weather = conditions.years.seasons.weather
    severe_c = FIGURES.severe_frost_c
    killing = last_spring_frost_days(weather, severe_c)
    found = [
        _Event("last_frost", "frost", last_spring_frost_days(weather, FROST_C), {"threshold_c": FROST_C}),
        _Event("last_frost_that_kills_flowers", "frost", killing, {"threshold_c": severe_c}),
        _Event("season_ends", None, _season_end(conditions.clock.last_ripening_day), {}),
    ]
    for event in conditions.health.events(stages.earliest(conditions.health.orchard.stages)):
        if event.against in TAKES_FRUIT and event.middle > last:
            continue
        if event.size is not None and event.size < FIGURES.small_brood:
            if event.event.endswith("_flight"):
                values: dict[str, Value] = {"share": event.size}
                found.append(_Event("codling_moth_small_brood", event.against, event.day, values, event.size))
            continue
        found.append(_Event(event.event, event.against, event.day, {}, event.size, event.certain))
    by_year = np.stack([one.day for one in found])
    middles = row_percentiles(by_year, (50.0,))[:, 0].tolist()
    told = [
        (middle, one.told(day))
        for one, day, middle in zip(found, days_of_years(by_year, fit.south), middles, strict=True)
        if day is not None
    ]
    return tuple([event for _, event in sorted(told, key=lambda pair: (pair[0], pair[1].event))])


@dataclass(frozen=True, eq=False)
class _Event:
    """An event of the site with its season day in every year (years,); NaN in years without it."""

    event: SiteEventCode
    against: str | None
    day: Floats
    values: dict[str, Value]
    size: float | None = None
    certain: bool = True

    def told(self, day: Day) -> SiteEvent:
        """The event as it is told of these days."""
        said = say(self.event, **self.values)
        return SiteEvent(
            event=self.event,
            against=self.against,
            day=day,
            size=None if self.size is None else round(self.size, 2),
            certain=self.certain,
            code=said.code,
            values=said.values,
            words=said.words,
        )


def _season_end(last_ripening_day: Floats) -> Floats:
    """The day the season ends, NaN in years in which it does not before the next winter is well on."""
    return np.where(last_ripening_day >= SEASON_DAYS - 1, np.nan, last_ripening_day)


def jobs_here(catalogue: Catalogue, conditions: SiteConditions, cultivars: Sequence[Cultivar]) -> tuple[Job, ...]:
    """The jobs that these cultivars bring at the site, in the order of the season."""
    traits = catalogue.choose(list(cultivars))
    fit = site_fit(conditions, traits)
    return work(traits.cultivars, stage_days(conditions, traits, fit), place_of_work(conditions, fit))


def chill_is_short(conditions: SiteConditions, traits: TraitTable) -> bool:
    """Whether the middle winter brings less chill than one of the cultivars needs for half a crop."""
    return bool((traits.value["chill_portions"] > np.median(conditions.clock.chill_total)).any())


def _cautions(jobs: tuple[Job, ...], short_of_chill: bool) -> tuple[Caution, ...]:
    found = [cautions.LADDERS, cautions.FROST_NIGHTS, cautions.SPRAYS]
    told = {one.code for one in found}
    for code in sorted({code for job in jobs for code in job.cautions} - told):
        found.append(cautions.BY_CODE[code])
    if short_of_chill:
        found.append(cautions.NO_REST_BREAKING)
    return tuple(found)
