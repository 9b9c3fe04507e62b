"""Twelve monthly means of a climate, as a caller gives them or a shallower depth estimates them."""

from typing import Annotated

import msgspec
import numpy as np
from numpy.typing import NDArray

MONTH_DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
"""Days of the months of a 365-day year, January first."""

MonthlyTemperatures = Annotated[
    tuple[Annotated[float, msgspec.Meta(ge=-90, le=60)], ...],
    msgspec.Meta(min_length=12, max_length=12, description="Twelve means in C, January first, in both hemispheres."),
]
MonthlyRain = Annotated[
    tuple[Annotated[float, msgspec.Meta(ge=0, le=3000)], ...],
    msgspec.Meta(min_length=12, max_length=12, description="Twelve monthly sums of rain and melted snow in mm."),
]
MonthlyRainDays = Annotated[
    tuple[Annotated[float, msgspec.Meta(ge=0, le=31)], ...],
    msgspec.Meta(min_length=12, max_length=12, description="Twelve mean numbers of days with 1 mm of rain or more."),
]


class MonthlyNormals(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Monthly normals: mean daily minimum and maximum of the air in C, and rain if it is known. January comes first."""

    tmin_c: MonthlyTemperatures
    tmax_c: MonthlyTemperatures
    rain_mm: MonthlyRain | None = None
    rain_days: MonthlyRainDays | None = None


def monthly_means(normals: MonthlyNormals) -> NDArray[np.float64]:
    """Mean temperature of the twelve months, the middle of minimum and maximum, C."""
    means: NDArray[np.float64] = (np.array(normals.tmin_c) + np.array(normals.tmax_c)) / 2.0
    return means


def normals_of(
    tmean_c: NDArray[np.float64],
    range_c: NDArray[np.float64],
    rain_mm: NDArray[np.float64] | None = None,
    rain_days: NDArray[np.float64] | None = None,
) -> MonthlyNormals:
    """Normals from twelve means and diurnal ranges (C), and rain, rounded to hundredths of a unit."""

    def rounded(values: NDArray[np.float64]) -> tuple[float, ...]:
        return tuple(float(value) for value in np.round(values, 2))

    return MonthlyNormals(
        tmin_c=rounded(tmean_c - range_c / 2.0),
        tmax_c=rounded(tmean_c + range_c / 2.0),
        rain_mm=None if rain_mm is None else rounded(rain_mm),
        rain_days=None if rain_days is None else rounded(rain_days),
    )


def warmed(normals: MonthlyNormals, warming_c: float) -> MonthlyNormals:
    """The same climate with every month warmer by ``warming_c``, day and night alike."""
    shift = np.full(12, warming_c)
    return msgspec.structs.replace(
        normals,
        tmin_c=tuple(float(v) for v in np.round(np.array(normals.tmin_c) + shift, 2)),
        tmax_c=tuple(float(v) for v in np.round(np.array(normals.tmax_c) + shift, 2)),
    )
