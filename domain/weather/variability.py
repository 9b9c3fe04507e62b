"""How much the weather of a climate varies, read from its monthly normals.

The standard deviation of daily extremes about their seasonal mean grows with cold, with the yearly amplitude of the
monthly means and with the daily range; that of the minima also where rain falls evenly over the year (cyclones pass in
every season), most of all on warm coasts beside a continent. Where summer brings more than half of the year's rain the
winds of winter are steady (monsoon) and days differ less: this rests on two series only.

The coefficients are a least-squares fit of its logarithm, by month, to 14 United States stations (CLIGEN station
parameter files, 2015 update, USDA Agricultural Research Service: about 40 years each; the seasonal drift within a month
taken out) and to 13 open daily series of other places (Europe, North Africa, Asia, South America, New Zealand). Left
out one place at a time, a place misses by 12 to 13 % (mean over places), single months by 21 to 23 % (root mean
square): the same normals may belong to a steadier or a more changeable climate, and a caller should allow for that.
Known misses: the Gulf coast of the United States is more changeable (by a third), New Mexico steadier (by a third);
where the place is known, domain/weather/regional_spread.py mends them.

Wet days: shift of the extremes between wet and dry days after Sommer P. S., Kaplan J. O., A globally calibrated scheme
for generating daily meteorology from monthly statistics: Global-WGEN (GWGEN), Geoscientific Model Development 10, 2017.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from domain.weather.diurnal_range import rain_days
from domain.weather.normals import MONTH_DAYS, MonthlyNormals, monthly_means

Floats = NDArray[np.float64]

# ln(standard deviation, C) = constant + a * mean temperature + b * yearly amplitude + c * daily range, all in C.
TMIN_SPREAD = (0.969, -0.0231, 0.0166, 0.0131)
TMAX_SPREAD = (0.917, -0.0221, 0.0184, 0.0357)
COLDEST_MEAN_C = -15.0
"""The fit ends at Duluth's January: a colder month is not made more changeable than that."""
LARGEST_AMPLITUDE_C = 32.0
EVEN_RAIN_CHANGE = 0.25
"""Rise of ln(standard deviation) of the coldest month's minima where rain falls evenly over the year."""
WARM_COAST_CHANGE = 0.0206
"""Its further rise per C of yearly amplitude at 30 degrees of latitude, none from 40 on: continental outbreaks."""
MONSOON_CHANGE = -0.38
"""Change of ln(standard deviation) where three quarters of the year's rain fall in the three warmest months."""
UNKNOWN_EVENNESS = 0.4
"""Evenness of the rain taken where no rain is told: the mean of the places of the fit."""

SLOW_SHARE = 0.20
"""Share of the variance that lasts weeks in the coldest month."""
SLOW_SHARE_IN_SUMMER = 0.25
"""Part of it in the warmest month: anomalies of winter last longer."""
SKEW_BEND, SKEW_CENTRE_C, SKEW_WIDTH_C = -0.12, -1.0, 5.0
"""Minima are skewed by about -0.7 in months whose mean is near freezing, hardly above 8 C or in deep cold."""


@dataclass(frozen=True)
class Variability:
    """How daily extremes vary about their seasonal mean, by month (12,), January first."""

    tmin_sd_c: Floats
    tmax_sd_c: Floats
    tmin_wet_shift_c: Floats
    """Mean minimum of wet days minus that of dry days."""
    tmax_wet_shift_c: Floats
    tmin_bend: Floats
    """A sixth of the skewness of the minima."""
    slow_share: float
    """Share of the variance that lasts weeks in the coldest month; a quarter of it in the warmest."""


def expected_variability(normals: MonthlyNormals, latitude: float) -> Variability:
    """Spread, skewness and wet-day shift expected in a climate, from its normals and latitude in degrees."""
    tmin, tmax, mean = np.array(normals.tmin_c), np.array(normals.tmax_c), monthly_means(normals)
    amplitude = min(float(np.ptp(mean)), LARGEST_AMPLITUDE_C)
    even, monsoon = _rain_season(normals, mean)
    coldness = month_coldness(normals)

    warm_coast = min(max((40 - abs(latitude)) / 10, 0.0), 1.0)
    outbreaks = (EVEN_RAIN_CHANGE + WARM_COAST_CHANGE * amplitude * warm_coast) * even * coldness

    def spread(coefficients: tuple[float, float, float, float], change: Floats | float) -> Floats:
        constant, by_mean, by_amplitude, by_range = coefficients
        predictor = constant + by_mean * np.maximum(mean, COLDEST_MEAN_C) + by_amplitude * amplitude
        result: Floats = np.exp(predictor + by_range * (tmax - tmin) + change)
        return result

    return Variability(
        tmin_sd_c=spread(TMIN_SPREAD, outbreaks + MONSOON_CHANGE * monsoon),
        tmax_sd_c=spread(TMAX_SPREAD, MONSOON_CHANGE * monsoon),
        tmin_wet_shift_c=1.693 - 0.0652 * tmin,
        tmax_wet_shift_c=-0.973 - 0.0574 * tmax,
        tmin_bend=SKEW_BEND * np.exp(-(((mean - SKEW_CENTRE_C) / SKEW_WIDTH_C) ** 2)),
        slow_share=SLOW_SHARE,
    )


def month_coldness(normals: MonthlyNormals) -> Floats:
    """How cold each month is for the place (12,): 0 the warmest, 1 the coldest (less where all are much alike)."""
    mean = monthly_means(normals)
    coldness: Floats = (mean.max() - mean) / max(float(np.ptp(mean)), 1.0)
    return coldness


def _rain_season(normals: MonthlyNormals, mean: Floats) -> tuple[float, float]:
    """How evenly rain falls over the year, and how far summer outweighs the rest (monsoon), each from 0 to 1.

    Both from the share of the three warmest months: a third is even, a tenth a dry summer, over a half a monsoon.
    """
    rain = np.array(normals.rain_mm if normals.rain_mm is not None else normals.rain_days or (0.0,) * 12)
    if rain.sum() <= 0:
        return UNKNOWN_EVENNESS, 0.0
    summer = float(rain[np.argsort(mean)[-3:]].sum() / rain.sum())
    return max(1 - abs(summer - 0.33) / 0.2, 0.0), min(max((summer - 0.5) / 0.25, 0.0), 1.0)


def wet_day_share(normals: MonthlyNormals) -> Floats | None:
    """Share of days with measurable rain by month (12,), 0 to 1; None where the normals tell no rain.

    From rain days if given, else from rain and temperature (domain/weather/diurnal_range.py).
    """
    if normals.rain_days is not None:
        told: Floats = np.array(normals.rain_days, dtype=np.float64)
        return np.asarray(told / MONTH_DAYS)
    if normals.rain_mm is None:
        return None
    days: Floats = rain_days(np.array(normals.rain_mm), monthly_means(normals))
    return np.asarray(days / MONTH_DAYS)
