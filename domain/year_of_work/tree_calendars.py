"""The calendar of each cultivar: its stages over the years, what frost leaves, and if asked its years one by one."""

import numpy as np

from domain.common.arrays import Floats, row_percentiles
from domain.common.season_days import SEASON_DAYS, month_day
from domain.hazards.frost_at_bloom import FrostTable, crop_after_frost
from domain.orchard_site.conditions import SiteConditions
from domain.suitability.site_fit import SiteFit
from domain.weather.cold_air import minima_shift
from domain.weather.weather_generator import DailyWeather
from domain.year_of_work.calendar_answer import CultivarCalendar, Day, FrostOutlook, TreeEvent, TreeYear
from domain.year_of_work.stages import BBCH, StageDays

LATER_DAYS = 5.0
UP_THE_SLOPE_M = 20.0
LEAST_SHARE = 0.1
"""Share of the years from which a day is told."""


def days_of_years(days: Floats, south: bool) -> list[Day | None]:
    """A day over the years for each row of days (rows, years); NaN in years without it. None where it comes in fewer
    than one year in ten.
    """
    come, years = np.isfinite(days).sum(axis=1).tolist(), days.shape[1]
    return [
        None
        if count < LEAST_SHARE * years
        else Day(
            median=month_day(middle, south),
            earlier_one_year_in_ten=month_day(early, south),
            later_one_year_in_ten=month_day(late, south),
            years_in_ten=round(10.0 * count / years, 1),
        )
        for count, (early, middle, late) in zip(come, row_percentiles(days, (10.0, 50.0, 90.0)).tolist(), strict=True)
    ]


def cultivar_calendars(
    conditions: SiteConditions, fit: SiteFit, stages: StageDays, years: int
) -> tuple[CultivarCalendar, ...]:
    """One calendar for each cultivar of the fit, with its latest `years` told one by one."""
    south = fit.south
    kept = conditions.frost_chance.kept(fit.bloom.full)
    outlooks = _frost_outlooks(conditions, fit, kept)
    told = _numbered(conditions, years)
    over_years = {event: days_of_years(stages.by_event[event], south) for event in BBCH}
    calendars = []
    for row, cultivar in enumerate(fit.cultivars):
        days = {event: by_year[row] for event, by_year in stages.by_event.items()}
        calendars.append(
            CultivarCalendar(
                cultivar=cultivar.name,
                id=cultivar.id,
                events=tuple(
                    TreeEvent(event=event, bbch=code, day=over_years[event][row]) for event, code in BBCH.items()
                ),
                frost=outlooks[row],
                years=tuple(
                    _year(
                        number,
                        {event: _date(day[season], south) for event, day in days.items()},
                        float(kept[row, season]),
                        float(fit.crop_chance[row, season]),
                    )
                    for number, season in told
                ),
            )
        )
    return tuple(calendars)


def _year(number: int, dates: dict[str, str | None], flowers_left: float, crop_chance: float) -> TreeYear:
    return TreeYear(
        year=number,
        green_tip=dates["green_tip"],
        first_bloom=dates["first_bloom"],
        full_bloom=dates["full_bloom"],
        petal_fall=dates["petal_fall"],
        first_ripe=dates["first_ripe"],
        flowers_left=round(flowers_left, 2),
        crop_chance=round(crop_chance, 2),
    )


def _date(day: float, south: bool) -> str | None:
    return month_day(day, south) if np.isfinite(day) and day < SEASON_DAYS else None


def _numbered(conditions: SiteConditions, years: int) -> list[tuple[int, int]]:
    """Year and season of the latest `years`; the year is that of bloom, or a running number if simulated."""
    weather = conditions.years.seasons.weather
    seasons = len(weather.tmin_c)
    if weather.first_years is None:
        return [(season + 1, season) for season in range(min(years, seasons))]
    blooms_next_year = 0 if weather.south else 1
    return [
        (weather.first_years[season] + blooms_next_year, season) for season in range(max(0, seasons - years), seasons)
    ]


def _up_the_slope(weather: DailyWeather) -> Floats:
    """Nightly minima (seasons, days) of a spot up the slope."""
    tmin_c: Floats = weather.tmin_c + minima_shift(weather, UP_THE_SLOPE_M)
    return tmin_c


def _frost_outlooks(conditions: SiteConditions, fit: SiteFit, kept: Floats) -> list[FrostOutlook]:
    """One outlook for each cultivar; kept: share of its flowers that frost leaves (cultivars, years)."""
    full = fit.bloom.full
    weather = conditions.years.seasons.weather
    higher = conditions.kept.get("up the slope", None, lambda: FrostTable(conditions.clock, _up_the_slope(weather)))
    now = crop_after_frost(conditions.frost_chance, full).mean(axis=1)
    later = crop_after_frost(conditions.frost_chance, full + np.float32(LATER_DAYS)).mean(axis=1)
    up = crop_after_frost(higher, full).mean(axis=1)
    middle, poor = np.percentile(kept, [50.0, 10.0], axis=1)
    return [
        FrostOutlook(
            years_in_ten=round(10.0 * float(now[row]), 1),
            if_bloom_were_5_days_later=round(10.0 * float(later[row]), 1),
            if_20_m_up_the_slope=round(10.0 * float(up[row]), 1),
            flowers_left_in_the_middle_year=round(float(middle[row]), 2),
            flowers_left_one_year_in_ten=round(float(poor[row]), 2),
        )
        for row in range(len(fit.cultivars))
    ]
