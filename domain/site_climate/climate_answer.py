"""The climate of a site in the words of growers: what a site's years show, figure by figure, and how it is known."""

from typing import Annotated, Literal

import msgspec
import numpy as np
from msgspec import Meta, Struct
from numpy.typing import NDArray

from domain.common.assumptions import Assumption
from domain.common.season_days import YEAR_DAYS, month_day
from domain.site_climate import climate_words
from domain.site_climate.observed_figures import COUNTED_NOVEMBER_TO_FEBRUARY
from domain.site_climate.site import MonthDay, Site
from domain.site_climate.site_years import SiteYears
from domain.tables.parameters import figures
from domain.tables.words import Sentence
from domain.weather import frost_dates
from domain.weather.frost_dates import FrostDates
from domain.weather.hardiness_zones import zone_of
from domain.weather.heat import degree_days
from domain.weather.normals import MonthlyNormals, monthly_means
from domain.weather.seasons import DORMANCY_FROM, DORMANCY_TO, Measure
from domain.weather.weather_generator import DailyWeather

Known = Literal["given", "derived", "assumed"]
Basis = Annotated[
    Known,
    Meta(
        description="given: the request told it. derived: it follows from what the request told. assumed: little that "
        "was told bears on it, so that it is that of a middling climate of this kind."
    ),
]


class ClimateAnswerFigures(msgspec.Struct, frozen=True):
    """What of a climate is said to be derived and not assumed."""

    hard_frost_c: float
    derived_chill: float
    derived_frost_days: float
    derived_summer_c: float
    derived_winter_c: float


FIGURES = figures("site_climate", "climate_answer", ClimateAnswerFigures)
DEGREE_DAY_BASE_C = 10.0


class Years(Struct, frozen=True, kw_only=True):
    """A quantity over the years: its mean, and what one year in ten falls below and one in ten passes."""

    mean: float
    tenth_percentile: float
    ninetieth_percentile: float


class DormantSeason(Struct, frozen=True, kw_only=True):
    """Chill of the whole dormant season, with which the needs of cultivars are compared."""

    chill_portions: Years
    counted_from: MonthDay
    counted_to: MonthDay


class WinterChillYears(Struct, frozen=True, kw_only=True):
    """Winter chill in every measure over one window: the request's own, or the four months that services quote most."""

    hours_below_7_2c: Years
    hours_0_to_7_2c: Years
    utah_units: Years
    chill_portions: Years
    counted_from: MonthDay
    counted_to: MonthDay
    dormant_season: DormantSeason
    basis: Basis


class SpringFrost(Struct, frozen=True, kw_only=True):
    """Last frost of spring. A date is null where that many years have no frost at all."""

    threshold_c: float
    earlier_one_year_in_ten: MonthDay | None
    median: MonthDay | None
    later_one_year_in_ten: MonthDay | None
    chance_of_frost_free_year: float
    basis: Basis


class AutumnFrost(Struct, frozen=True, kw_only=True):
    """First frost of autumn. A date is null where that many years have no frost at all."""

    threshold_c: float
    earlier_one_year_in_ten: MonthDay | None
    median: MonthDay | None
    later_one_year_in_ten: MonthDay | None
    chance_of_frost_free_year: float
    basis: Basis


class WinterMinimumYears(Struct, frozen=True, kw_only=True):
    """The lowest temperature of the year: its mean, its USDA zone, and what one winter in ten falls below."""

    mean_annual_minimum_c: float
    hardiness_zone: str
    colder_one_year_in_ten_c: float
    basis: Basis


class Heat(Struct, frozen=True, kw_only=True):
    """Heat of the year from midwinter to midwinter."""

    degree_days_above_10c: Years
    growing_degree_hours: Years
    days_above_30c: Years
    days_above_35c: Years
    basis: Basis


class Mean(Struct, frozen=True, kw_only=True):
    """A mean temperature, C."""

    mean_c: float
    basis: Basis


class Rain(Struct, frozen=True, kw_only=True):
    """Days with 1 mm of rain or more. by_month: January first."""

    days_in_growing_season: float
    days_by_month: tuple[float, ...]
    chance_of_rain_after_a_rain_day: float | None
    basis: Basis


class Unknown(Struct, frozen=True, kw_only=True):
    """Standard deviations of what is not known of this climate (apart from how its years differ)."""

    chill_portions: float
    last_frost_days: float
    winter_minimum_c: float
    summer_mean_c: float
    bloom_days: float


class SiteClimate(Struct, frozen=True, kw_only=True):
    """The climate of a site."""

    basis: Annotated[
        Literal["place", "figures", "normals", "records"],
        Meta(description="The deepest thing told, from which the years were made."),
    ]
    years: int
    words: tuple[Sentence, ...]
    winter_chill: WinterChillYears
    last_spring_frost: SpringFrost
    first_autumn_frost: AutumnFrost
    last_hard_spring_frost: SpringFrost
    first_hard_autumn_frost: AutumnFrost
    frost_free_days: Years
    winter_minimum: WinterMinimumYears
    coldest_month: Mean
    warmest_month: Mean
    heat: Heat
    rain: Rain
    monthly_normals: MonthlyNormals
    unknown: Unknown
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Sentence, ...]


def _years(values: NDArray[np.floating], digits: int = 0) -> Years:
    low, high = np.quantile(values, [0.1, 0.9])
    mean, low, high = (round(float(v), digits) + 0.0 for v in (values.mean(), low, high))
    return Years(mean=mean, tenth_percentile=low, ninetieth_percentile=high)


def _basis(told: bool, unknown: float, derived_up_to: float) -> Known:
    if told:
        return "given"
    return "derived" if unknown <= derived_up_to else "assumed"


def _chill(years: SiteYears, site: Site) -> WinterChillYears:
    told = site.winter_chill
    counted_from, counted_to = COUNTED_NOVEMBER_TO_FEBRUARY[years.south]
    if told is not None and told.counted_from is not None and told.counted_to is not None:
        counted_from, counted_to = told.counted_from, told.counted_to
    totals = years.seasons.chill_totals(counted_from, counted_to)
    dormant = (DORMANCY_FROM[years.south], DORMANCY_TO[years.south])
    portions = years.seasons.dormant_portions
    digits: dict[Measure, int] = {"chill_portions": 1}
    by_measure = {measure: _years(values, digits.get(measure, 0)) for measure, values in totals.items()}
    return WinterChillYears(
        **by_measure,
        counted_from=counted_from,
        counted_to=counted_to,
        dormant_season=DormantSeason(
            chill_portions=_years(portions, 1), counted_from=dormant[0], counted_to=dormant[1]
        ),
        basis=_basis(told is not None, years.spread.chill_portions, FIGURES.derived_chill),
    )


def _chill_as_told(chill: WinterChillYears, site: Site) -> Sentence | None:
    """The chill in the caller's own measure and window."""
    if site.winter_chill is None:
        return None
    measure = site.winter_chill.measure
    shown: Years = getattr(chill, measure)
    return climate_words.chill_as_told(shown.mean, measure, chill.counted_from, chill.counted_to)


def _date(day: float | None, south: bool) -> str | None:
    return None if day is None else month_day(day, south)


def _spring(years: SiteYears, dates: FrostDates, basis: Known) -> SpringFrost:
    return SpringFrost(
        threshold_c=dates.threshold_c,
        earlier_one_year_in_ten=_date(dates.tenth_percentile, years.south),
        median=_date(dates.median, years.south),
        later_one_year_in_ten=_date(dates.ninetieth_percentile, years.south),
        chance_of_frost_free_year=round(dates.frost_free_share, 2),
        basis=basis,
    )


def _autumn(years: SiteYears, dates: FrostDates, basis: Known) -> AutumnFrost:
    return AutumnFrost(
        threshold_c=dates.threshold_c,
        earlier_one_year_in_ten=_date(dates.tenth_percentile, years.south),
        median=_date(dates.median, years.south),
        later_one_year_in_ten=_date(dates.ninetieth_percentile, years.south),
        chance_of_frost_free_year=round(dates.frost_free_share, 2),
        basis=basis,
    )


def frost_free_days(weather: DailyWeather) -> NDArray[np.float64]:
    """Days from the last frost of spring to the first of the next autumn (seasons,); 365 where neither comes."""
    last = frost_dates.last_spring_frost_days(weather)
    first = frost_dates.first_autumn_frost_days(weather, from_day=YEAR_DAYS)
    length = np.where(np.isnan(first), YEAR_DAYS, first - np.where(np.isnan(last), 0.0, last) - 1.0)
    return np.clip(length, 0.0, YEAR_DAYS)


def _heat(years: SiteYears, basis: Known) -> Heat:
    weather = years.seasons.weather
    year = slice(YEAR_DAYS // 2, YEAR_DAYS // 2 + YEAR_DAYS)
    days = degree_days(weather.tmin_c[:, year], weather.tmax_c[:, year], DEGREE_DAY_BASE_C).sum(axis=1)
    hours = years.seasons.growing_degree_hours_by_day
    highest = weather.tmax_c[:, year]
    return Heat(
        degree_days_above_10c=_years(days),
        growing_degree_hours=_years(hours[:, year.stop - 1] - hours[:, year.start - 1]),
        days_above_30c=_years((highest > climate_words.WARM_C).sum(axis=1)),
        days_above_35c=_years((highest > climate_words.HOT_C).sum(axis=1)),
        basis=basis,
    )


def _rain(years: SiteYears, site: Site) -> Rain:
    wet = years.seasons.weather.wet
    after: float | None = None
    if wet is not None and wet[:, :-1].any():
        after = round(float((wet[:, 1:] & wet[:, :-1]).sum() / wet[:, :-1].sum()), 2)
    by_month = years.normals.rain_days or (0.0,) * 12
    told = site.rain_days_in_growing_season is not None
    deep = site.monthly_normals is not None and site.monthly_normals.rain_days is not None
    return Rain(
        days_in_growing_season=round(years.rain_days_growing_season),
        days_by_month=tuple(round(days, 1) for days in by_month),
        chance_of_rain_after_a_rain_day=after,
        basis="given" if told or deep else ("derived" if years.longitude is not None else "assumed"),
    )


def site_climate(site: Site, years: SiteYears) -> SiteClimate:
    """The answer of a site's climate from its years; ``site`` tells what was given."""
    weather, spread = years.seasons.weather, years.spread
    deep = years.basis in {"normals", "records"}
    spring = _basis(site.last_spring_frost is not None, spread.last_frost_days, FIGURES.derived_frost_days)
    autumn = _basis(site.first_autumn_frost is not None, spread.last_frost_days, FIGURES.derived_frost_days)
    summer = _basis(deep or site.warmest_month_mean_c is not None, spread.summer_mean_c, FIGURES.derived_summer_c)
    winter = _basis(deep or site.coldest_month_mean_c is not None, spread.winter_minimum_c, FIGURES.derived_winter_c)
    minimum = float(years.seasons.winter_minimum_c.mean())
    means = monthly_means(years.normals)
    chill = _chill(years, site)
    last, first = frost_dates.last_spring_frost(weather), frost_dates.first_autumn_frost(weather)
    heat = _heat(years, summer)
    rain = _rain(years, site)
    zone = WinterMinimumYears(
        mean_annual_minimum_c=round(minimum, 1),
        hardiness_zone=zone_of(minimum),
        colder_one_year_in_ten_c=round(float(np.quantile(years.seasons.winter_minimum_c, 0.1)), 1),
        basis=_basis(site.winter_minimum is not None, spread.winter_minimum_c, FIGURES.derived_winter_c),
    )
    free = _years(frost_free_days(weather))
    return SiteClimate(
        basis=years.basis,
        years=len(weather.tmin_c),
        words=tuple(
            sentence
            for sentence in (
                climate_words.chill_words(
                    chill.dormant_season.chill_portions.mean,
                    chill.dormant_season.chill_portions.tenth_percentile,
                    chill.dormant_season.counted_from,
                    chill.dormant_season.counted_to,
                ),
                _chill_as_told(chill, site),
                climate_words.winter_words(minimum, zone.hardiness_zone, means),
                climate_words.season_words(means),
                climate_words.frost_words(last, first, free.mean, years.south),
                climate_words.summer_words(float(means.max()), heat.days_above_30c.mean, heat.days_above_35c.mean),
                climate_words.rain_words(rain.days_in_growing_season),
            )
            if sentence is not None
        ),
        winter_chill=chill,
        last_spring_frost=_spring(years, last, spring),
        first_autumn_frost=_autumn(years, first, autumn),
        last_hard_spring_frost=_spring(years, frost_dates.last_spring_frost(weather, FIGURES.hard_frost_c), spring),
        first_hard_autumn_frost=_autumn(years, frost_dates.first_autumn_frost(weather, FIGURES.hard_frost_c), autumn),
        frost_free_days=free,
        winter_minimum=zone,
        coldest_month=Mean(mean_c=round(float(means.min()), 1), basis=winter),
        warmest_month=Mean(mean_c=round(float(means.max()), 1), basis=summer),
        heat=heat,
        rain=rain,
        monthly_normals=years.normals,
        unknown=Unknown(**{name: round(value, 1) for name, value in vars(spread).items()}),
        assumptions=years.assumptions,
        warnings=years.warnings,
    )
