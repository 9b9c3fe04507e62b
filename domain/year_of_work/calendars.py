"""From a request to the calendars: stages, frost, what is the site's own, and the work, with its cautions."""

from collections.abc import Sequence

import msgspec
import numpy as np

from domain.common.arrays import Floats
from domain.common.asked_names import resolve_names
from domain.common.cautions import Caution
from domain.common.faults import ContentFault, ContentFaults, collecting, pointer
from domain.common.season_days import SEASON_DAYS, day_of_year
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.site_fit import site_fit
from domain.suitability.without_winter import site_cautions, site_words, stripped_tree, verdict_without_winter
from domain.tables import cautions
from domain.tables.cultivars import Cultivar
from domain.tables.loading import Tables
from domain.tables.parameters import figures
from domain.tables.words import Value, say
from domain.traits.catalogue import Catalogue
from domain.traits.trait_table import TraitTable
from domain.weather.frost_dates import last_spring_frost_days
from domain.year_of_work.calendar_answer import (
    Job,
    SeasonCalendars,
    SeasonCalendarsRequest,
    SiteEvent,
    SiteEventCode,
    StrippedCalendar,
    YearsAre,
)
from domain.year_of_work.on_this_day import on_this_day
from domain.year_of_work.stages import StageDays, stage_days
from domain.year_of_work.tree_calendars import cultivar_calendars, day_of_years
from domain.year_of_work.work import place_of_work, work


class SiteEventFigures(msgspec.Struct, frozen=True):
    """Which frost of a site's year is told."""

    severe_frost_c: float


FIGURES = figures("year_of_work", "calendars", SiteEventFigures)
FROST_C = 0.0


def requested_ids(request: SeasonCalendarsRequest, tables: Tables) -> tuple[str, ...]:
    """The cultivars of a request. Raises ContentFaults for names unknown or given twice, and for a day no year has."""
    faults: list[ContentFault] = []
    ids: tuple[str, ...] = ()
    with collecting(faults):
        ids = resolve_names(tables.names, request.cultivars, "cultivars")
    if request.on is not None:
        try:
            day_of_year(request.on[-5:])
        except ValueError:
            faults.append(ContentFault(pointer("on"), f"No year has a {request.on}; expected a day MM-DD."))
    if faults:
        raise ContentFaults(faults)
    return ids


def season_calendars(
    request: SeasonCalendarsRequest, catalogue: Catalogue, conditions: SiteConditions
) -> SeasonCalendars:
    """The calendars of the cultivars asked for, at the site of these conditions."""
    ids = requested_ids(request, catalogue.tables)
    traits = catalogue.choose([catalogue.tables.by_id[cultivar_id] for cultivar_id in ids])
    recorded = conditions.years.seasons.weather.first_years is not None
    years_are: YearsAre = "recorded" if recorded else "simulated"
    if conditions.years.without_winter:
        return _without_winter(traits.cultivars, conditions, years_are)
    fit = site_fit(conditions, traits)
    stages = stage_days(conditions, traits, fit)
    jobs = work(traits.cultivars, stages, place_of_work(conditions, fit), fit.storage_weeks)
    events = _site_events(conditions, stages, fit.south)
    return SeasonCalendars(
        years_are=years_are,
        calendars=cultivar_calendars(conditions, fit, stages, request.years),
        site_events=events,
        work=jobs,
        on_this_day=None if request.on is None else on_this_day(request.on[-5:], fit, jobs, events),
        stripped=(),
        cautions=_cautions(jobs, chill_is_short(conditions, traits)),
        assumptions=conditions.years.assumptions,
        warnings=(*conditions.years.warnings, *site_words(conditions)),
    )


def _without_winter(cultivars: Sequence[Cultivar], conditions: SiteConditions, years_are: YearsAre) -> SeasonCalendars:
    """No calendar of a winter that is none: each cultivar's cycles from the days of stripping, if told."""
    days = conditions.years.leaf_stripping
    stripped = []
    for cultivar in cultivars:
        verdict, said = verdict_without_winter(cultivar, conditions.years)
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
        work=(),
        on_this_day=None,
        stripped=tuple(stripped),
        cautions=(cautions.LADDERS, cautions.SPRAYS, *site_cautions(conditions)),
        assumptions=conditions.years.assumptions,
        warnings=(*conditions.years.warnings, *site_words(conditions)),
    )


def _site_events(conditions: SiteConditions, stages: StageDays, south: bool) -> tuple[SiteEvent, ...]:
    """Frosts, the end of the season, diseases and insects about the earliest of the trees, in the order of the year."""
    weather = conditions.years.seasons.weather
    severe_c = FIGURES.severe_frost_c
    found: list[tuple[SiteEventCode, str | None, Floats, dict[str, Value]]] = [
        ("last_frost", "frost", last_spring_frost_days(weather, FROST_C), {"threshold_c": FROST_C}),
        (
            "last_frost_that_kills_flowers",
            "frost",
            last_spring_frost_days(weather, severe_c),
            {"threshold_c": severe_c},
        ),
        ("season_ends", None, _season_end(conditions.clock.last_ripening_day), {}),
        *(
            (event.event, event.against, event.day, {})
            for event in conditions.health.events(stages.earliest(conditions.health.orchard.stages))
        ),
    ]
    events = []
    for event, against, day, values in found:
        told = day_of_years(day, south)
        if told is not None:
            said = say(event, **values)
            one = SiteEvent(
                event=event, against=against, day=told, code=said.code, values=said.values, words=said.words
            )
            events.append((float(np.nanmedian(day)), one))
    return tuple(event for _, event in sorted(events, key=lambda item: (item[0], item[1].event)))


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
    asked = {job.job for job in jobs}
    found = [cautions.LADDERS, cautions.FROST_NIGHTS, cautions.SPRAYS]
    if asked & {"cut_scions", "graft", "bud"}:
        found += [cautions.PLANT_HEALTH, cautions.GRAFTING_KNIVES]
    if "clear_windfalls" in asked:
        found.append(cautions.WINDFALLS)
    if "pick" in asked:  # it says to taste
        found.append(cautions.ALLERGY)
    if short_of_chill:
        found.append(cautions.NO_REST_BREAKING)
    return tuple(found)
