"""The figures of a site as observations: what was told, how well such figures are known, and what a climate shows.

Each figure carries the standard deviation of its error, as told by a grower or printed by a service: rounding, another
period, another spot of the same farm. A chill figure without its window may have been counted in several ways, and the
ways differ more the colder the winter: that difference is part of its error.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import season_day
from domain.site_climate import predicted_figures as predicted
from domain.site_climate.climate_prior import Step
from domain.site_climate.predicted_figures import Blocks
from domain.site_climate.site import FirstAutumnFrost, LastSpringFrost, Site, WinterChill, WinterMinimum
from domain.tables.parameters import figures
from domain.tree_year.clock import CLOCK_QUANTITIES
from domain.weather.hardiness_zones import zone_range
from domain.weather.seasons import DORMANCY_FROM, DORMANCY_TO, Measure, Quantity, window_days

Floats = NDArray[np.float64]


class ToldFigures(msgspec.Struct, frozen=True):
    """How far figures that a caller tells may be off."""

    frost_spread_days: float
    frost_tenth_spread_days: float
    minimum_spread_c: float
    zone_site_spread_c: float
    month_spread_c: float
    bloom_told_spread_days: float
    bloom_rule_spread_days: float
    chill_share: float
    least_chill_hours: float
    least_chill_utah: float
    least_chill_portions: float
    tail_share: float
    hours_whole_season_weight: float
    hours_core_weight: float
    hours_above_zero_weight: float
    whole_season_weight: float
    frost_free_minimum_c: float
    frost_free_spread_c: float
    coldest_canadian_c: float
    coldest_canadian_spread_c: float


FIGURES = figures("site_climate", "observed_figures", ToldFigures)

COUNTED_NOVEMBER_TO_FEBRUARY = {False: ("11-01", "02-28"), True: ("05-01", "08-31")}

HOW_YEARS_DIFFER: frozenset[Step] = frozenset({"day_to_day", "lasting"})
"""What a percentile moves: it speaks of the years, and never of their mean."""
NIGHTS_OF_FROST: frozenset[Step] = frozenset({"pattern", "spring", "spring_nights", "autumn_nights"})
HEIGHT_BY_FROST: frozenset[Step] = NIGHTS_OF_FROST | {"year"}
"""What a date of frost moves: the nights of its season and not the winter; the year only where no height was told."""

FigureUnit = Literal["days", "c"] | Measure
"""What a figure is told in: season days, degrees Celsius, or a measure of chill."""


@dataclass(frozen=True)
class Figure:
    """One figure told of a site.

    predict: what each climate of some blocks shows (count,). spread: standard deviation of the error, given what each
    climate shows (count,); it may depend on the climate. at_least: the figure is only a lower bound. reads: what
    predict and spread read of the hours, so that all figures are read in one walk. days: first and last season day of
    that, None for all of them. of_years: it tells how years differ
    and not what they are in the mean. counted_from: what value is the distance from. moves: what the figure may move,
    None for everything.
    """

    field: str
    value: float
    unit: FigureUnit
    predict: Callable[[Blocks], Floats]
    spread: Callable[[Blocks], Floats]
    at_least: bool = False
    reads: tuple[Quantity, ...] = ()
    days: tuple[int, int] | None = None
    of_years: bool = False
    counted_from: float = 0.0
    moves: frozenset[Step] | None = None

    def residuals(self, blocks: Blocks) -> Floats:
        """What the climates show less what was told (count,), in the figure's unit."""
        difference = self.predict(blocks) - self.value
        return np.minimum(difference, 0.0) if self.at_least else difference


def _steady(spread: float) -> Callable[[Blocks], Floats]:
    return lambda blocks: np.full(blocks.count, spread)


def chill_window(chill: WinterChill) -> tuple[str, str] | None:
    """The window in which a figure was counted, or None if it was not told."""
    if chill.counted_from is None or chill.counted_to is None:
        return None
    return chill.counted_from, chill.counted_to


def _least_chill(measure: Measure) -> float:
    """Least standard deviation of a chill figure, in its own measure."""
    least: dict[Measure, float] = {
        "hours_below_7_2c": FIGURES.least_chill_hours,
        "hours_0_to_7_2c": FIGURES.least_chill_hours,
        "utah_units": FIGURES.least_chill_utah,
        "chill_portions": FIGURES.least_chill_portions,
    }
    return least[measure]


def _ways_of_counting(chill: WinterChill, south: bool) -> list[tuple[Measure, tuple[str, str], float]]:
    """Measures and windows a figure may stand for, with the weight of each."""
    window = chill_window(chill)
    if window is not None:
        return [(chill.measure, window, 1.0)]
    whole = (DORMANCY_FROM[south], DORMANCY_TO[south])
    core = COUNTED_NOVEMBER_TO_FEBRUARY[south]
    if chill.measure == "hours_below_7_2c":  # often 32 to 45 F, and often called just "chill hours"
        return [
            (chill.measure, whole, FIGURES.hours_whole_season_weight),
            (chill.measure, core, FIGURES.hours_core_weight),
            ("hours_0_to_7_2c", core, FIGURES.hours_above_zero_weight),
        ]
    if chill.measure == "utah_units":  # warm months take units away: counted while they add
        return [(chill.measure, core, 1.0)]
    return [
        (chill.measure, whole, FIGURES.whole_season_weight),
        (chill.measure, core, 1.0 - FIGURES.whole_season_weight),
    ]


def _chill_figures(chill: WinterChill, south: bool) -> list[Figure]:
    ways = _ways_of_counting(chill, south)

    def counted(blocks: Blocks) -> tuple[Floats, Floats]:
        return np.array([predicted.chill(blocks, measure, window) for measure, window, _ in ways]), np.array(
            [weight for *_, weight in ways]
        )

    def mean(blocks: Blocks) -> Floats:
        values, weights = counted(blocks)
        result: Floats = weights @ values.mean(axis=2)
        return result

    def spread(blocks: Blocks) -> Floats:
        values, weights = counted(blocks)
        means = values.mean(axis=2)
        between = np.sqrt(weights @ (means - weights @ means) ** 2)
        error: Floats = np.hypot(max(FIGURES.chill_share * abs(chill.mean), _least_chill(chill.measure)), between)
        return error

    reads = tuple(measure for measure, *_ in ways)
    windows = [window_days(south, *window) for _, window, _ in ways]
    days = (min(first for first, _ in windows), max(last for _, last in windows))
    figures = [Figure("winter_chill/mean", chill.mean, chill.measure, mean, spread, reads=reads, days=days)]
    tails = (
        ("tenth_percentile", chill.tenth_percentile, predicted.low_tenth),
        ("ninetieth_percentile", chill.ninetieth_percentile, predicted.high_tenth),
    )
    for name, told, tail in tails:
        if told is None:
            continue

        def from_mean(blocks: Blocks, tail: Callable[[Floats], Floats] = tail) -> Floats:
            values, weights = counted(blocks)
            result: Floats = weights @ (tail(values) - values.mean(axis=2))
            return result

        # The tails are judged by their distance from the mean: what shifts both is the mean's affair.
        error = FIGURES.tail_share * max(abs(told - chill.mean), _least_chill(chill.measure))
        figures.append(
            Figure(
                f"winter_chill/{name}",
                told - chill.mean,
                chill.measure,
                from_mean,
                _steady(float(error)),
                reads=reads,
                days=days,
                of_years=True,
                counted_from=chill.mean,
                moves=HOW_YEARS_DIFFER,
            )
        )
    return figures


def _frost_figures(
    field: str, frost: LastSpringFrost | FirstAutumnFrost, south: bool, moves: frozenset[Step]
) -> list[Figure]:
    if frost.frost_free:
        threshold = frost.threshold_c
        return [
            Figure(
                f"{field}/frost_free",
                threshold + FIGURES.frost_free_minimum_c,
                "c",
                lambda blocks: predicted.winter_minimum(blocks).mean(axis=1),
                _steady(FIGURES.frost_free_spread_c),
                at_least=True,
            )
        ]
    spring = isinstance(frost, LastSpringFrost)
    dates = predicted.last_frost if spring else predicted.first_frost
    extreme = frost.later_one_year_in_ten if isinstance(frost, LastSpringFrost) else frost.earlier_one_year_in_ten
    tail, name = (
        (predicted.high_tenth, "later_one_year_in_ten") if spring else (predicted.low_tenth, "earlier_one_year_in_ten")
    )
    figures = []
    for part, told, summary, error in (
        ("median", frost.median, predicted.middle, FIGURES.frost_spread_days),
        (name, extreme, tail, FIGURES.frost_tenth_spread_days),
    ):
        if told is None:
            continue
        day = season_day(told, south)
        # With the median told, the tenth year says how years differ; alone it must speak of the season too.
        of_years = part == name and frost.median is not None

        def show(blocks: Blocks, summary: Callable[[Floats], Floats] = summary, day: int = day) -> Floats:
            shown = summary(dates(blocks, frost.threshold_c))
            nearest: Floats = day + (shown - day + 182.5) % 365.0 - 182.5
            return nearest

        figures.append(
            Figure(
                f"{field}/{part}",
                float(day),
                "days",
                show,
                _steady(error),
                of_years=of_years,
                moves=HOW_YEARS_DIFFER if of_years else moves,
            )
        )
    return figures


def minimum_told(minimum: WinterMinimum) -> tuple[float, float]:
    """Mean yearly minimum (C) that was told, by itself or by a zone, and the standard deviation of its error."""
    if minimum.mean_annual_minimum_c is not None:
        return minimum.mean_annual_minimum_c, FIGURES.minimum_spread_c
    zone = str(minimum.hardiness_zone).strip().lower()
    if minimum.scheme == "canada" and zone.startswith("0"):
        return FIGURES.coldest_canadian_c, FIGURES.coldest_canadian_spread_c
    limits = zone_range(zone, minimum.scheme)
    return limits.middle_c, float(np.hypot(limits.spread_c, FIGURES.zone_site_spread_c))


def _minimum_figure(minimum: WinterMinimum) -> Figure:
    def show(blocks: Blocks) -> Floats:
        lowest: Floats = predicted.winter_minimum(blocks).mean(axis=1)
        return lowest

    told, spread = minimum_told(minimum)
    part = "hardiness_zone" if minimum.mean_annual_minimum_c is None else "mean_annual_minimum_c"
    return Figure(f"winter_minimum/{part}", told, "c", show, _steady(spread))


def _month_figure(field: str, value: float, warmest: bool) -> Figure:
    def show(blocks: Blocks) -> Floats:
        by_day = blocks.seasons.mean_temperature_c[:, :365].reshape(blocks.count, -1, 365).mean(axis=1)
        months = np.stack([by_day[:, start : start + 30].mean(axis=1) for start in range(0, 336, 5)])
        result: Floats = (months.max(axis=0) if warmest else months.min(axis=0)).astype(np.float64)
        return result

    return Figure(field, value, "c", show, _steady(FIGURES.month_spread_c))


def figures_of(site: Site, south: bool) -> list[Figure]:
    """All figures of temperature that a site tells; the site is taken to be free of faults."""
    figures: list[Figure] = []
    of_frost = HEIGHT_BY_FROST if site.elevation_m is None else NIGHTS_OF_FROST
    if site.winter_chill is not None:
        figures += _chill_figures(site.winter_chill, south)
    if site.last_spring_frost is not None:
        figures += _frost_figures("last_spring_frost", site.last_spring_frost, south, of_frost)
    if site.first_autumn_frost is not None:
        figures += _frost_figures("first_autumn_frost", site.first_autumn_frost, south, of_frost)
    if site.winter_minimum is not None:
        figures.append(_minimum_figure(site.winter_minimum))
    if site.coldest_month_mean_c is not None:
        figures.append(_month_figure("coldest_month_mean_c", site.coldest_month_mean_c, warmest=False))
    if site.warmest_month_mean_c is not None:
        figures.append(_month_figure("warmest_month_mean_c", site.warmest_month_mean_c, warmest=True))
    if site.bloom_date is not None:
        day = season_day(site.bloom_date, south)
        figures.append(
            Figure(
                site.bloom_field,
                float(day),
                "days",
                lambda blocks: predicted.middle(predicted.bloom(blocks)),
                _steady(float(np.hypot(FIGURES.bloom_told_spread_days, FIGURES.bloom_rule_spread_days))),
                reads=CLOCK_QUANTITIES,
            )
        )
    return figures
