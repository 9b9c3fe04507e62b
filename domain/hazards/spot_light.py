"""How much of full light a spot has that the sun reaches for some hours of a clear day.

Where less than 30 % of full sun falls apples form no flowers, and good colour asks 30 to 50 % (D. Ferree and
D. Heinicke, as reported in Good Fruit Grower, 2006). Full light is beam and sky: the beam comes in the hours told, as a
share of those of open ground; of the light of the sky, which clouds make the greater part, what shades the spot hides a
half. How cloudy it is tells the range of the day (Allen R. G. et al., FAO Irrigation and Drainage Paper 56, 1998,
eq. 50); an overcast day brings a quarter of the light above the air and a clear one three quarters (eq. 35).
"""

import msgspec
import numpy as np

from domain.site_climate.site_years import SiteYears, growing_months
from domain.tables.parameters import figures
from domain.weather.slope_sun import FIGURES as THROUGH_AIR


class SpotLightFigures(msgspec.Struct, frozen=True):
    """See parameters/hazards.csv, subject spot_light."""

    open_ground_h: float
    no_flowers_share: float
    full_colour_share: float
    overcast_share: float
    clear_sky_light: float
    sky_seen: float


FIGURES = figures("hazards", "spot_light", SpotLightFigures)


def sky_share(years: SiteYears) -> float:
    """Share of the light of the growing season that comes from the sky and not straight from the sun, 0 to 1."""
    months = growing_months(years.south)
    span = np.maximum(np.array(years.normals.tmax_c) - np.array(years.normals.tmin_c), 0.0)[months]
    most = THROUGH_AIR.most_through_air
    light = float(np.clip(THROUGH_AIR.through_air * np.sqrt(span), FIGURES.overcast_share, most).mean())
    sunny = (light - FIGURES.overcast_share) / (most - FIGURES.overcast_share)
    return (FIGURES.overcast_share * (1.0 - sunny) + most * FIGURES.clear_sky_light * sunny) / light


def light_share(sun_hours: float, of_the_sky: float = 0.0) -> float:
    """Where a spot of so many hours lies between light under which no flowers form (0) and that of good colour (1).

    of_the_sky: `sky_share` of the place; without it only the sun counts.
    """
    beam = (1.0 - of_the_sky) * sun_hours / FIGURES.open_ground_h
    span = FIGURES.full_colour_share - FIGURES.no_flowers_share
    return min(max((beam + FIGURES.sky_seen * of_the_sky - FIGURES.no_flowers_share) / span, 0.0), 1.0)


def enough_hours() -> float:
    """Hours of sun that give light enough for good colour under a sky of sun alone."""
    return FIGURES.full_colour_share * FIGURES.open_ground_h
