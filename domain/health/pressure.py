"""Disease pressure of a site, 0 (hardly seen) to 1 (every year, heavy), from its warmth and its wet days.

The temperature ranges are those of published infection studies (rows of reference_tables/rules, disease pressure):
scab wants cool wet springs (MacHardy and Gadoury 1989), fire blight warm wet bloom above 15.6 C with heat above 18.3 C,
powdery mildew 20 to 22 C without rain and buds that live through the winter, rust 10 to 24 C with 2 to 6 wet hours and
junipers near, black and bitter rot warm wet summers (optimum 24 to 27 C), sooty blotch 250 wet hours after petal fall.
How a number of wet days becomes a pressure is a smooth step between a place known for little of a disease and one known
for much: common practice, no source.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

Class = Literal["low", "moderate", "high"]


@dataclass(frozen=True)
class SummerWeather:
    """What of a site's growing season decides disease, means over years.

    spring_c, summer_c: mean temperature (C) from a month before to six weeks after bloom, and of the three warmest
    months. bloom_tmax_c: mean daily maximum (C) of the three weeks around bloom. wet_days_spring, wet_days_summer:
    share of days with rain (0..1). winter_minimum_c: mean yearly minimum (C). winter_mean_c: coldest month (C).
    """

    spring_c: float
    summer_c: float
    bloom_tmax_c: float
    wet_days_spring: float
    wet_days_summer: float
    winter_minimum_c: float
    winter_mean_c: float
    junipers_native: bool | None = None
    fire_blight_established: bool = True


def _step(value: float, low: float, high: float) -> float:
    """0 below `low`, 1 above `high`, smooth between; reversed where `low` is the larger."""
    x = float(np.clip((value - low) / (high - low), 0.0, 1.0))
    return x * x * (3.0 - 2.0 * x)


def disease_pressure(weather: SummerWeather) -> dict[str, float]:
    """Pressure by disease, 0 to 1."""
    w = weather
    wet = 0.5 * (w.wet_days_spring + w.wet_days_summer)
    warm_wet = _step(w.summer_c, 19.0, 25.0) * _step(w.wet_days_summer, 0.10, 0.33)
    rust_climate = _step(w.wet_days_spring, 0.12, 0.30) * _step(w.summer_c, 15.0, 20.0)
    rust_hosts = {True: 1.0, False: 0.05, None: 0.3}[w.junipers_native]
    return {
        "scab": _step(w.wet_days_spring, 0.10, 0.42) * _step(w.spring_c, 4.0, 9.0) * _step(w.spring_c, 26.0, 19.0),
        "fire_blight": (1.0 if w.fire_blight_established else 0.1)
        * _step(w.bloom_tmax_c, 12.5, 22.0)
        * (0.35 + 0.65 * _step(w.wet_days_spring, 0.06, 0.30)),
        "powdery_mildew": _step(w.summer_c, 11.0, 17.0)
        * _step(w.summer_c, 30.0, 24.0)
        * _step(w.winter_minimum_c, -30.0, -16.0)
        * (1.0 - 0.45 * _step(wet, 0.25, 0.50)),
        "cedar_apple_rust": rust_climate * rust_hosts,
        "canker": _step(wet, 0.22, 0.50) * _step(w.summer_c, 22.0, 16.0) * _step(w.winter_mean_c, -12.0, 0.0),
        "bitter_rot": warm_wet,
        "black_rot": _step(w.summer_c, 17.5, 24.0) * _step(w.wet_days_summer, 0.12, 0.35),
        "white_rot": warm_wet,
        "glomerella_leaf_spot": _step(w.summer_c, 20.0, 24.0)
        * _step(w.wet_days_summer, 0.28, 0.42)
        * _step(w.winter_mean_c, 1.0, 8.0),
        "sooty_blotch_flyspeck": _step(w.summer_c, 14.0, 20.0) * _step(w.wet_days_summer, 0.18, 0.38),
    }


def pressure_class(pressure: float) -> Class:
    """Words for a pressure: low below 0.25, high from 0.6."""
    return "low" if pressure < 0.25 else "moderate" if pressure < 0.6 else "high"
