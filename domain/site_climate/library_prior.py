"""A prior for figures told without a place: the climates of the library that show about these figures.

Every climate of the library is weighed by how well it shows the figures, with errors widened until a few dozen climates
share the weight; their weighted mean is the middle, and the main ways in which they differ are the modes. Half of what
the figures say (or less, as far as errors were widened) is used up by this; the rest is left to the fit.
"""

from dataclasses import dataclass

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.common.season_days import season_day
from domain.site_climate.climate_prior import ClimatePrior, Step
from domain.site_climate.observed_figures import COUNTED_NOVEMBER_TO_FEBRUARY, chill_window, minimum_told
from domain.site_climate.regimes import MEASURE_INDEX, Regimes, chill_over, library
from domain.site_climate.site import Site, WinterChill
from domain.tables.parameters import figures
from domain.weather.diurnal_range import rain_days
from domain.weather.seasons import dormancy_days, window_days

Floats = NDArray[np.float64]

MOST_USED = 0.5
LEAST_CLIMATES = 30.0
MODES = 6


class LibraryFigures(msgspec.Struct, frozen=True):
    """How near a climate of the library must come to the figures told."""

    latitude_spread: float
    figures_to_doubt: int
    cold_winter_c: float
    seldom_quoted: float
    frost_days_per_c: float
    frost_spread_days: float
    bloom_spread_days: float
    minimum_spread_c: float
    month_spread_c: float
    chill_share: float
    least_chill_portions: float
    least_chill_hours: float


FIGURES = figures("site_climate", "library_prior", LibraryFigures)
TAIL = 4.0
"""Degrees of freedom of the errors' distribution: a figure that is plainly wrong must not decide alone."""


@dataclass(frozen=True)
class LibraryPrior:
    """The prior, how many climates share its weight, and which share of the figures' say it has used.

    doubted says whether there are figures enough for one of them to be called wrong.
    """

    prior: ClimatePrior
    climates: float
    used: float
    doubted: bool


def _chill_likelihood(regimes: Regimes, chill: WinterChill, south: bool) -> tuple[Floats, Floats]:
    """Standardised distance (n,) of each climate's chill from the figure, and a log density (n,) beside it.

    A figure without its window may lie anywhere between the ways of counting, the less densely the further they are
    apart; and hardly anybody quotes chill where winters are cold, since it does not limit there.
    """
    window = chill_window(chill)
    if window is not None:
        ways = [(chill.measure, window_days(south, *window))]
    else:
        core = window_days(south, *COUNTED_NOVEMBER_TO_FEBRUARY[south])
        whole = dormancy_days(south)
        ways = [(chill.measure, core)]
        if chill.measure != "utah_units":
            ways.append((chill.measure, whole))
    error = max(
        FIGURES.chill_share * abs(chill.mean),
        FIGURES.least_chill_portions if chill.measure == "chill_portions" else FIGURES.least_chill_hours,
    )
    distances = [(chill_over(regimes, MEASURE_INDEX[measure], *days) - chill.mean) / error for measure, days in ways]
    values = np.array(distances)
    # Between two ways of counting anything is possible: partial seasons.
    inside = (values.min(axis=0) < 0) & (values.max(axis=0) > 0)
    nearest: Floats = np.where(inside, 0.0, np.abs(values).min(axis=0))
    cold = 1.0 / (1.0 + np.exp(np.clip((regimes.tmean_c.min(axis=1) - FIGURES.cold_winter_c) / 2.0, -50.0, 50.0)))
    return nearest, -np.log1p(np.ptp(values, axis=0)) - FIGURES.seldom_quoted * cold


def _distances(regimes: Regimes, site: Site, south: bool) -> list[Floats]:
    """Standardised distances (n,) of the library's climates from each figure of the site but its chill."""
    found: list[Floats] = []
    for frost, dates, sign in (
        (site.last_spring_frost, regimes.last_frost, 1.0),
        (site.first_autumn_frost, regimes.first_frost, -1.0),
    ):
        if frost is None:
            continue
        if frost.frost_free:
            found.append(np.minimum(regimes.winter_minimum_c - frost.threshold_c - 2.0, 0.0) / 2.0)
        elif frost.median is not None:
            told = season_day(frost.median, south) - sign * FIGURES.frost_days_per_c * frost.threshold_c
            found.append(((dates - told + 182.5) % 365.0 - 182.5) / FIGURES.frost_spread_days)
    if site.winter_minimum is not None:
        told, spread = minimum_told(site.winter_minimum)
        found.append((regimes.winter_minimum_c - told) / np.hypot(spread, FIGURES.minimum_spread_c))
    if site.coldest_month_mean_c is not None:
        found.append((regimes.tmean_c.min(axis=1) - site.coldest_month_mean_c) / FIGURES.month_spread_c)
    if site.warmest_month_mean_c is not None:
        found.append((regimes.tmean_c.max(axis=1) - site.warmest_month_mean_c) / FIGURES.month_spread_c)
    if site.bloom_date is not None:
        told = season_day(site.bloom_date, south)
        found.append(((regimes.bloom - told + 182.5) % 365.0 - 182.5) / FIGURES.bloom_spread_days)
    if site.latitude is not None:
        found.append((regimes.latitude - abs(site.latitude)) / FIGURES.latitude_spread)
    return found


def _weights(log_likelihood: Floats) -> tuple[Floats, float, float]:
    """Weights that sum to 1, the power of the likelihood used, and the number of climates that share the weight."""
    for power in np.geomspace(MOST_USED, 1e-3, 40):
        weight = np.exp(power * (log_likelihood - log_likelihood.max()))
        weight /= weight.sum()
        shared = float(1.0 / (weight**2).sum())
        if shared >= LEAST_CLIMATES:
            break
    return weight, float(power), shared


def library_prior(site: Site, south: bool) -> LibraryPrior:
    """The prior of a site that tells figures and no place."""
    regimes = library()
    likelihood = np.zeros(len(regimes.latitude))
    apart = _distances(regimes, site, south)
    if site.winter_chill is not None:
        distance, likelihood = _chill_likelihood(regimes, site.winter_chill, south)
        apart.append(distance)
    doubted = len(apart) >= FIGURES.figures_to_doubt
    for distance in apart:
        likelihood = likelihood - 0.5 * ((TAIL + 1.0) * np.log1p(distance**2 / TAIL) if doubted else distance**2)
    weight, used, shared = _weights(likelihood)
    climates = np.concatenate([regimes.tmean_c, regimes.range_c], axis=1)
    middle = weight @ climates
    away = climates - middle
    covariance = (away * weight[:, None]).T @ away
    strength, pattern = np.linalg.eigh(covariance)
    order = np.argsort(strength)[::-1][:MODES]
    modes = (pattern[:, order] * np.sqrt(np.maximum(strength[order], 1e-6))).T
    rain = np.exp(weight @ np.log(regimes.rain_mm + 1.0)) - 1.0
    latitude = abs(site.latitude) if site.latitude is not None else float(weight @ regimes.latitude)
    turn = 6 if south else 0

    def turned(values: Floats) -> Floats:
        return np.roll(values, turn, axis=-1)

    pattern_of: Step = "pattern"
    patterns = tuple(pattern_of for _ in modes)
    prior = ClimatePrior(
        latitude=-latitude if south else latitude,
        tmean_c=turned(middle[:12]),
        range_c=turned(middle[12:]),
        modes=np.concatenate([turned(modes[:, :12]), turned(modes[:, 12:])], axis=1),
        rain_mm=turned(rain),
        rain_days=turned(rain_days(rain, middle[:12])),
        named=patterns,
    )
    return LibraryPrior(prior, shared, used, doubted)
