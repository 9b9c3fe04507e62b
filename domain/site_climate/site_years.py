"""From a site to its years: the deepest thing told makes them, the rest calibrates them or is compared with them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal, get_args

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.assumptions import Assumption
from domain.common.faults import ContentFaults
from domain.common.season_days import month_day
from domain.site_climate.climate_prior import ClimatePrior, prior_of_normals, prior_of_place
from domain.site_climate.climate_words import FIGURES as WORDS
from domain.site_climate.figures import TAIL, YEARS, ClimateSpread, Fitted, fit, misfit
from domain.site_climate.hemisphere import dates_say_south
from domain.site_climate.library_prior import library_prior
from domain.site_climate.observed_figures import (
    COUNTED_NOVEMBER_TO_FEBRUARY,
    Figure,
    figures_of,
)
from domain.site_climate.observed_figures import FIGURES as TOLD
from domain.site_climate.predicted_figures import Blocks
from domain.site_climate.record_years import FIGURES as RECORDS
from domain.site_climate.record_years import prior_of_record, record_seasons, record_spread
from domain.site_climate.records import Record, read_records
from domain.site_climate.site import NOT_WARMED_C, BloomField, Ground, Site
from domain.site_climate.site_checks import check_site, has_figure
from domain.site_climate.spot_weather import at_the_spot
from domain.tables.parameters import figures
from domain.tables.words import Sentence, assume, say
from domain.weather.climatology import WARM_LAPSE_C_PER_KM, place_climate
from domain.weather.diurnal_range import rain_days
from domain.weather.normals import MONTH_DAYS, MonthlyNormals, monthly_means, warmed
from domain.weather.seasons import Seasons, seasons
from domain.weather.weather_generator import simulate

Floats = NDArray[np.float64]
Basis = Literal["place", "figures", "normals", "records"]


class SiteYearFigures(msgspec.Struct, frozen=True):
    """When a figure is said to disagree."""

    disagreement: float
    height_asked_c: float
    no_season_c: float
    leaves_fall_by_c: float


FIGURES = figures("site_climate", "site_years", SiteYearFigures)

HEIGHT_UNTOLD = "height_untold_in_hills"
"""Code of the warning that a bare pin in hills is judged at a height that the ground about it leaves open."""
COLDEST_MONTH_C, HOTTEST_MONTH_C = -50.0, 45.0
"""Beyond the monthly means of any inhabited place, about -47 and 42 C; from memory."""


@dataclass(frozen=True)
class SiteYears:
    """The years of a site, and what is not known of its climate.

    latitude is assumed where it was not told, longitude and elevation_m are then None. normals: monthly normals of the
    years (of records: their own). rain_days_growing_season: April to September, October to March in the south.
    rain_of_days_told: rain of these months as a share of that of the normals, where rainy days of the season were told
    and rain itself was not.
    bloom_shift_days: days by which apples bloom later here than the clock of the years says, as the caller told.
    leaf_stripping: days (MM-DD) on which leaves are stripped by hand, as the caller told.
    warming_c: degrees by which the climate that is asked for is warmer than the one that is there.
    """

    seasons: Seasons
    basis: Basis
    spread: ClimateSpread
    normals: MonthlyNormals
    latitude: float
    longitude: float | None
    elevation_m: float | None
    rain_days_growing_season: float
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Sentence, ...]
    bloom_shift_days: float = 0.0
    leaf_stripping: tuple[str, ...] = ()
    warming_c: float = 0.0
    rain_of_days_told: float = 1.0

    @cached_property
    def without_winter(self) -> bool:
        """Whether no winter gives trees their rest: the months do not differ, or hardly and no frost comes."""
        return without_winter(self.normals, self.seasons)

    @property
    def south(self) -> bool:
        """Whether the site lies south of the equator."""
        return self.latitude < 0


def without_winter(normals: MonthlyNormals, years: Seasons) -> bool:
    """Whether months of so little difference bring no rest: no season at all, or no night so cold that it takes leaves,
    without which a tree grows on however cool the year.
    """
    range_c, coldest_night_c = np.ptp(monthly_means(normals)), np.median(years.winter_minimum_c)
    return bool(brings_no_rest(np.array([range_c]), np.array([coldest_night_c]))[0])


def brings_no_rest(range_c: Floats, coldest_night_c: Floats) -> NDArray[np.bool_]:
    """The same (n,) from the differences of the monthly means and the coldest nights of usual years."""
    leaves_hang_on = coldest_night_c > FIGURES.leaves_fall_by_c
    return (range_c < WORDS.no_winter_c) & ((range_c < FIGURES.no_season_c) | leaves_hang_on)


def _without_frost(years: Seasons) -> bool:
    """Whether most years have no night so cold that it takes leaves."""
    return bool(np.median(years.winter_minimum_c) > FIGURES.leaves_fall_by_c)


@dataclass(frozen=True, eq=False)
class FoundClimate:
    """What a site's place, figures, normals or records make of its climate: before warming and lie.

    basis, rain_days_growing_season, rain_of_days_told, bloom_shift_days: as in SiteYears. recorded: whether records
    were read.
    """

    fitted: Fitted
    basis: Basis
    latitude: float
    rain_days_growing_season: float
    rain_of_days_told: float
    recorded: bool
    bloom_shift_days: float
    assumptions: tuple[Assumption, ...]
    warnings: tuple[Sentence, ...]


def site_years(site: Site) -> SiteYears:
    """The years at a site; the same for the same site. Raises ContentFaults for what no site can be.

    Records come before normals, normals before figures, figures before the bare place; the shallower ones calibrate the
    deeper within the spread of those, and a warning tells where they disagree.
    """
    refuse_impossible(site)
    return years_of(found_climate(what_makes_the_climate(site)), site)


def refuse_impossible(site: Site) -> None:
    """Raise ContentFaults for what no site can be."""
    faults = check_site(site)
    if faults:
        raise ContentFaults(faults)


def what_makes_the_years(site: Site) -> Site:
    """The site without what its years do not turn on: of its ground only lie and slope count, and no day of asking."""
    lie, slope = (None, None) if site.ground is None else (site.ground.lie, site.ground.slope)
    bare = None if lie is None and slope is None else Ground(lie=lie, slope=slope)
    warming_c = site.warming_c or NOT_WARMED_C  # the very number, where 0 is told
    return msgspec.structs.replace(site, ground=bare, as_of=None, warming_c=warming_c)


def what_makes_the_climate(site: Site) -> Site:
    """The site without what is laid on top of its climate: ground, dates seen and warming."""
    return msgspec.structs.replace(
        site, ground=None, observed_dates=(), leaf_stripping=(), as_of=None, warming_c=NOT_WARMED_C
    )


def found_climate(site: Site) -> FoundClimate:
    """The climate of a possible site that `what_makes_the_climate` has bared. Raises ContentFaults for its records."""
    assumptions: list[Assumption] = []
    warnings: list[Sentence] = []
    south = _hemisphere(site, assumptions, warnings)
    record = _record(site)
    if record is not None:
        warnings += record.notes
    prior, basis, weight, doubted = _prior(site, record, south, assumptions, warnings)
    rain_told = basis in {"normals", "records"} and prior.rain_mm is not None
    prior, rain_share = _with_rain(prior, site, south, assumptions)
    figures = figures_of(site, south)
    _assume_windows(site, south, assumptions)
    if record is not None and len(record.weather.tmin_c) >= RECORDS.enough_seasons:
        found = _as_recorded(record, figures)
    else:
        found = fit(prior, figures, weight, doubted=doubted, disagreement=FIGURES.disagreement)
        if record is not None:
            seasons_told = len(record.weather.tmin_c)
            assumptions.append(assume("years", "years_like_the_record", float(YEARS), seasons=seasons_told))
    warnings += [
        _disagreement(figure, shown, south) for figure, shown, off in found.misfits if abs(off) > FIGURES.disagreement
    ]
    warnings += _not_of_this_earth(found.normals)
    bloom_shift = _bloom_shift(found, assumptions)
    days = np.zeros(12) if prior.rain_days is None else prior.rain_days
    return FoundClimate(
        fitted=found,
        basis=basis,
        latitude=prior.latitude,
        rain_days_growing_season=float(days[growing_months(south)].sum()),
        rain_of_days_told=1.0 if rain_told else rain_share,
        recorded=record is not None,
        bloom_shift_days=bloom_shift,
        assumptions=tuple(assumptions),
        warnings=tuple(warnings),
    )


def years_of(climate: FoundClimate, site: Site) -> SiteYears:
    """The years of a site in its climate, warmed as it asks, at the lie of its ground."""
    assumptions = list(climate.assumptions)
    found = _warmed(climate.fitted, climate.latitude, site.warming_c)
    found = at_the_spot(found, climate.latitude, site, climate.recorded, assumptions)
    warnings = climate.warnings
    if site.winter_chill is not None and without_winter(found.normals, found.seasons):
        code = "chill_without_winter" if _without_frost(found.seasons) else "chill_without_season"
        warnings += (say(code, range_c=float(np.ptp(monthly_means(found.normals)))),)
    return SiteYears(
        seasons=found.seasons,
        basis=climate.basis,
        spread=found.spread,
        normals=found.normals,
        latitude=climate.latitude,
        longitude=site.longitude,
        elevation_m=site.elevation_m,
        rain_days_growing_season=climate.rain_days_growing_season,
        rain_of_days_told=climate.rain_of_days_told,
        assumptions=tuple(assumptions),
        warnings=warnings,
        bloom_shift_days=climate.bloom_shift_days,
        leaf_stripping=site.leaf_stripping,
        warming_c=site.warming_c,
    )


def _bloom_shift(found: Fitted, assumptions: list[Assumption]) -> float:
    """Days to add to the clock's bloom: the clock's share of what the climate found still leaves of the date told."""
    told_as = get_args(BloomField)
    bloom = [(figure, figure.value - shown, off) for figure, shown, off in found.misfits if figure.field in told_as]
    if not bloom:
        return 0.0
    figure, later, off = bloom[0]
    share = TOLD.bloom_rule_spread_days**2 / (TOLD.bloom_rule_spread_days**2 + TOLD.bloom_told_spread_days**2)
    shift = later * share * min((TAIL + 1.0) / (TAIL + off**2), 1.0)
    if abs(shift) >= 1.0:
        code = "bloom_told_later" if shift > 0 else "bloom_told_earlier"
        assumptions.append(assume(figure.field, code, days=abs(shift)))
    return shift


def _not_of_this_earth(normals: MonthlyNormals) -> list[Sentence]:
    """A warning where the figures lead to a climate that nobody lives in."""
    means = monthly_means(normals)
    if means.min() >= COLDEST_MONTH_C and means.max() <= HOTTEST_MONTH_C:
        return []
    return [say("months_not_of_this_earth", coldest_c=float(means.min()), warmest_c=float(means.max()))]


def check_years(site: Site) -> None:
    """Raise ContentFaults for what `site_years` would refuse, without the work of simulation."""
    refuse_impossible(site)
    south = _hemisphere(site, [], [])
    _prior(site, _record(site), south, [], [])


def _record(site: Site) -> Record | None:
    """The record of a site, hourly before daily; the latitude is there (check_site)."""
    if site.latitude is None:
        return None
    if site.hourly_records is not None:
        return read_records(site.hourly_records, site.latitude, ("site", "hourly_records"))
    if site.daily_records is not None:
        return read_records(site.daily_records, site.latitude, ("site", "daily_records"))
    return None


def _as_recorded(record: Record, figures: Sequence[Figure]) -> Fitted:
    """The record's own seasons, and how far the figures told beside it are off."""
    made = record_seasons(record)
    blocks = Blocks(made, 1)
    return Fitted(
        normals=record.normals,
        variability=None,
        seasons=made,
        spread=record_spread(made),
        misfits=tuple(misfit(figure, blocks) for figure in figures),
    )


def growing_months(south: bool) -> list[int]:
    """Months of the growing season, 0 for January: April to September, October to March in the south."""
    return [9, 10, 11, 0, 1, 2] if south else [3, 4, 5, 6, 7, 8]


def _hemisphere(site: Site, assumptions: list[Assumption], warnings: list[Sentence]) -> bool:
    votes = dates_say_south(site)
    if site.latitude is not None:
        south = site.latitude < 0
        if (votes > 0 and not south) or (votes < 0 and south):
            warnings.append(say("dates_of_the_south" if votes > 0 else "dates_of_the_north"))
        return south
    south = votes > 0
    code = "hemisphere_by_dates" if votes else "hemisphere_unknown"
    assumptions.append(assume("latitude", code, "south" if south else "north"))
    return south


def _prior(
    site: Site, record: Record | None, south: bool, assumptions: list[Assumption], warnings: list[Sentence]
) -> tuple[ClimatePrior, Basis, float, bool]:
    if record is not None and site.latitude is not None:
        return prior_of_record(record, site.latitude), "records", 1.0, True
    if site.monthly_normals is not None and site.latitude is not None:
        return prior_of_normals(site.monthly_normals, site.latitude, site.longitude), "normals", 1.0, True
    told = has_figure(site)
    if site.latitude is not None and site.longitude is not None:
        try:
            place = place_climate(site.latitude, site.longitude, site.elevation_m)
        except ContentFaults:
            if not told:
                raise
            warnings.append(say("place_without_trees", latitude=site.latitude, longitude=site.longitude))
        else:
            if place.elevation_assumed:
                assumptions.append(assume("elevation_m", "elevation_of_the_map", round(place.elevation_m)))
                if WARM_LAPSE_C_PER_KM * place.height_spread_m / 1000.0 >= FIGURES.height_asked_c:
                    low, high = (place.elevation_m + side * place.height_spread_m for side in (-1.0, 1.0))
                    warnings.append(say(HEIGHT_UNTOLD, height=place.elevation_m, low=low, high=high))
            if site.winter_minimum is None:
                assumptions.append(assume("winter_minimum", "winters_of_the_region"))
            return prior_of_place(place, site.latitude), "figures" if told else "place", 1.0, True
    found = library_prior(site, south)
    if site.latitude is None:
        assumptions.append(assume("latitude", "latitude_of_like_climates", round(found.prior.latitude)))
    return found.prior, "figures", 1.0 - found.used, found.doubted


def _with_rain(
    prior: ClimatePrior, site: Site, south: bool, assumptions: list[Assumption]
) -> tuple[ClimatePrior, float]:
    """Rain where the normals told none, and rain days as told; beside it the days of the growing season as a share of
    those untold.
    """
    if prior.rain_days is None:
        rain = _rain_elsewhere(prior, site, south)
        prior = replace(prior, rain_mm=rain, rain_days=rain_days(rain, prior.tmean_c))
    days = np.array(prior.rain_days)
    months = growing_months(south)
    if site.rain_days_in_growing_season is None:
        if site.monthly_normals is None or site.monthly_normals.rain_days is None:
            usual = round(float(days[months].sum()))
            assumptions.append(assume("rain_days_in_growing_season", "rain_of_the_climatology", usual))
        return prior, 1.0
    told = site.rain_days_in_growing_season
    untold = float(days[months].sum())
    as_told = np.minimum(days * told / max(untold, 1.0), MONTH_DAYS * 0.97)
    share = float(as_told[months].sum()) / untold if untold > 0.0 else 1.0
    return replace(prior, rain_days=as_told), share


def _rain_elsewhere(prior: ClimatePrior, site: Site, south: bool) -> Floats:
    if site.latitude is not None and site.longitude is not None:
        try:
            return place_climate(site.latitude, site.longitude, site.elevation_m).rain_mm
        except ContentFaults:
            pass
    like = Site(
        latitude=prior.latitude,
        coldest_month_mean_c=float(prior.tmean_c.min()),
        warmest_month_mean_c=float(prior.tmean_c.max()),
    )
    rain = library_prior(like, south).prior.rain_mm
    return np.zeros(12) if rain is None else rain


def _assume_windows(site: Site, south: bool, assumptions: list[Assumption]) -> None:
    chill = site.winter_chill
    if chill is not None and chill.counted_from is None:
        counted_from, counted_to = COUNTED_NOVEMBER_TO_FEBRUARY[south]
        window = {"counted_from": counted_from, "counted_to": counted_to}
        assumptions.append(assume("winter_chill/counted_from", "chill_window_untold", **window))
    minimum = site.winter_minimum
    if minimum is not None and minimum.scheme == "canada" and minimum.hardiness_zone is not None:
        assumptions.append(assume("winter_minimum/scheme", "canadian_zone"))


def _disagreement(figure: Figure, shown: float, south: bool) -> Sentence:
    field = figure.field
    if figure.unit == "days":
        told, expected = month_day(figure.value, south), month_day(shown, south)
        return say("date_disagrees", field=field, told=told, expected=expected)
    if figure.of_years:
        told_year, shown_year = figure.counted_from + figure.value, figure.counted_from + shown
        return say("percentile_dropped", field=field, told=told_year, expected=round(shown_year, 1), unit=figure.unit)
    return say("figure_disagrees", field=field, told=figure.value, expected=round(shown, 1), unit=figure.unit)


def _warmed(found: Fitted, latitude: float, warming_c: float) -> Fitted:
    """The climate warmer by ``warming_c``: the same weather, every day warmer."""
    if not warming_c:
        return found
    normals, weather = warmed(found.normals, warming_c), found.seasons.weather
    if found.variability is None:
        more = np.float32(warming_c)
        weather = replace(weather, tmin_c=weather.tmin_c + more, tmax_c=weather.tmax_c + more)
    else:
        weather = simulate(normals, latitude, years=len(weather.tmin_c), variability=found.variability)
    return replace(found, normals=normals, seasons=seasons(weather))
