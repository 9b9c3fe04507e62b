"""What water soil and rain leave a tree that nobody waters, and how good a soil it is to root in.

Demand. Reference evapotranspiration of each month by Hargreaves and Samani (Allen R. G. et al., Crop
evapotranspiration, FAO Irrigation and Drainage Paper 56, 1998, eq. 52) from the month's means and the sun above the
air, times the crop coefficient of apple and the share of the ground about a garden tree that its crown covers.

Supply. A store that rain fills (what of it reaches roots by FAO's rule for effective rain, from memory) and the tree
empties month by month, in dry, usual and wet years alike often: what soil of a texture holds a foot (Washington State
University, Tree fruit soils and nutrition) over the depth of its roots. Where rainy days of the growing season are told
and rain is not, its months bring as much a rainy day as they do untold (own judgement). Yield goes with the water that
the tree gets, up to what it asks (Agriculture Victoria, Water vs apple crop).
"""

import math
from typing import Literal

import msgspec
import numpy as np
from numpy.typing import NDArray

from domain.site_climate.site import Ground
from domain.site_climate.site_years import SiteYears, growing_months
from domain.tables.parameters import figures
from domain.weather.normals import MONTH_DAYS, MonthlyNormals, monthly_means
from domain.weather.slope_sun import beam_mj

Floats = NDArray[np.float64]
Texture = Literal["sandy", "loamy", "clayey"]


class SoilWaterFigures(msgspec.Struct, frozen=True):
    """See parameters/hazards.csv, subject soil_water."""

    sandy_mm_per_m: float
    loamy_mm_per_m: float
    clayey_mm_per_m: float
    usual_depth_m: float
    deepest_roots_m: float
    deep_enough_m: float
    least_depth_m: float
    crop_coefficient: float
    crown_cover: float
    least_growing_c: float
    rain_varies: float
    little_rain_share: float
    little_rain_lost_mm: float
    much_rain_mm: float
    much_rain_share: float


FIGURES = figures("hazards", "soil_water", SoilWaterFigures)
MM_PER_MJ = 0.408
HARGREAVES, HARGREAVES_C = 0.0023, 17.8
"""FAO-56, eq. 20 and 52."""


def held_mm(ground: Ground | None) -> float:
    """Water (mm) that the soil holds for a tree as deep as it roots; a loam of usual depth where nothing is told."""
    texture: Texture = "loamy"
    depth = FIGURES.usual_depth_m
    if ground is not None:
        texture = ground.texture or texture
        depth = depth if ground.soil_depth_m is None else min(ground.soil_depth_m, FIGURES.deepest_roots_m)
    by_texture: dict[Texture, float] = {
        "sandy": FIGURES.sandy_mm_per_m,
        "loamy": FIGURES.loamy_mm_per_m,
        "clayey": FIGURES.clayey_mm_per_m,
    }
    return by_texture[texture] * depth


def reference_mm(normals: MonthlyNormals, latitude: float) -> Floats:
    """Reference evapotranspiration (12,) of each month, mm."""
    days = np.asarray(MONTH_DAYS)
    month = np.repeat(np.arange(12), days)
    sun = np.bincount(month, beam_mj(latitude), minlength=12) / days
    span = np.maximum(np.array(normals.tmax_c) - np.array(normals.tmin_c), 0.0)
    each_day = HARGREAVES * (monthly_means(normals) + HARGREAVES_C) * np.sqrt(span) * sun * MM_PER_MJ
    return np.asarray(np.maximum(each_day, 0.0) * days)


def unwatered_share(years: SiteYears, ground: Ground | None) -> float | None:
    """Share (0 to 1) of the water it asks which a tree gets from rain and soil alone; None where rain is unknown."""
    normals = years.normals
    if normals.rain_mm is None:
        return None
    growing = np.zeros(12, dtype=bool)
    growing[growing_months(years.south)] = True
    asked = FIGURES.crop_coefficient * FIGURES.crown_cover * reference_mm(normals, years.latitude)
    asked = np.where(growing & (monthly_means(normals) > FIGURES.least_growing_c), asked, 0.0)
    if asked.sum() <= 0.0:
        return 1.0
    order = [(growing_months(years.south)[-1] + 1 + step) % 12 for step in range(24)]
    spread = FIGURES.rain_varies * math.sqrt(1.5)  # three equal years have then this standard deviation
    falls = np.array(normals.rain_mm) * np.where(growing, years.rain_of_days_told, 1.0)
    rains = [useful_rain(falls * more) for more in (1.0 - spread, 1.0, 1.0 + spread)]
    got = [_taken(asked[order], rain[order], held_mm(ground)) for rain in rains]
    return min(float(np.mean(got) / asked.sum()), 1.0)


def useful_rain(rain_mm: Floats) -> Floats:
    """What of a month's rain (mm) reaches roots: of little rain less than of much, since wet leaves and ground dry."""
    much = FIGURES.much_rain_mm
    some = np.maximum(FIGURES.little_rain_share * rain_mm - FIGURES.little_rain_lost_mm, 0.0)
    rest = FIGURES.little_rain_share * much - FIGURES.little_rain_lost_mm + FIGURES.much_rain_share * (rain_mm - much)
    useful: Floats = np.where(rain_mm > much, rest, some)
    return useful


def _taken(asked: Floats, rain: Floats, most: float) -> float:
    """Water (mm) that a tree takes in the second of two like years, month by month; the first fills the store."""
    stored, got = 0.0, 0.0
    for month, (wanted, falls) in enumerate(zip(asked.tolist(), rain.tolist(), strict=True)):
        taken = min(wanted, stored + falls)
        stored = min(stored + falls - taken, most)
        got += taken if month >= len(asked) // 2 else 0.0
    return got


def thin_soil(ground: Ground | None) -> bool:
    """Whether soil as told is too shallow, or too sandy and dry, for the roots of a tree of full size."""
    if ground is None:
        return False
    shallow = ground.soil_depth_m is not None and ground.soil_depth_m < FIGURES.deep_enough_m
    return shallow or (ground.texture == "sandy" and ground.irrigated is not True)
