"""What the first requests would otherwise make for all that follow, made at once: to be called before the program is
said to be ready.
"""

import numpy as np

from domain.site_climate.climate_prior import prior_of_place
from domain.site_climate.figures import JACOBIAN_YEARS, YEARS
from domain.site_climate.regimes import library
from domain.weather.climatology import place_climate
from domain.weather.seasons import seasons

ANY_PLACE = (51.0, 10.0, 200.0)


def warm_up() -> None:
    """Read the climatology, the library of climates and what is fitted to stations, and make the noise of simulated
    years, their daily cycle and the tables of chill: about 0.2 s of CPU, the second time much less.
    """
    latitude, longitude, elevation_m = ANY_PLACE
    prior = prior_of_place(place_climate(latitude, longitude, elevation_m), latitude)
    few, _ = (prior.weather(np.zeros(prior.steps), years) for years in (JACOBIAN_YEARS, YEARS))
    seasons(few).part(slice(0, 1)).read("chill_portions")
    library()
