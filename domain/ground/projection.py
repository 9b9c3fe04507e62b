"""A plane in metres that touches the ellipsoid at a plot, and the way back to longitude and latitude.

Orthographic projection of the WGS 84 ellipsoid by earth-centred coordinates: exact in both directions, the same at the
poles and across the antimeridian, without state, so safe in threads. Lengths are short by (d/R)^2/2 at a distance d
from the middle: 0.03 mm in 100 m at 5 km.

Source of the constants: WGS 84 (NIMA TR8350.2). Formulas: earth-centred and topocentric coordinates, IOGP Guidance
Note 7-2, methods 9602 and 9837 (from memory; held by the tests against an independent geodesic library).
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

SEMI_MAJOR_M = 6_378_137.0
FLATTENING = 1 / 298.257223563
ECCENTRICITY_2 = FLATTENING * (2 - FLATTENING)


@dataclass(frozen=True)
class LocalPlane:
    """Metres east and north of an origin."""

    longitude: float
    latitude: float

    def to_plane(self, positions: ArrayLike) -> Floats:
        """Longitude and latitude (n, 2) in degrees to x east and y north (n, 2) in m."""
        offset = earth_centred(positions) - self._origin
        plane: Floats = offset @ self._axes[:2].T
        return plane

    def to_positions(self, plane: ArrayLike) -> Floats:
        """Metres east and north (n, 2) to longitude (-180 to 180) and latitude (n, 2) in degrees."""
        xy = np.asarray(plane, dtype=np.float64).reshape(-1, 2)
        flat = self._origin + xy @ self._axes[:2]
        up = self._axes[2]
        weight = np.array([1.0, 1.0, 1 / (1 - ECCENTRICITY_2)])  # x2 + y2 + z2/(1 - e2) = a2 on the ellipsoid
        a = float(np.sum(weight * up * up))
        b = np.sum(weight * up * flat, axis=1)
        c = np.sum(weight * flat * flat, axis=1) - SEMI_MAJOR_M**2
        point = flat + ((-b + np.sqrt(np.maximum(b * b - a * c, 0.0))) / a)[:, None] * up
        latitude = np.arctan2(point[:, 2], (1 - ECCENTRICITY_2) * np.hypot(point[:, 0], point[:, 1]))
        longitude = np.arctan2(point[:, 1], point[:, 0])
        positions: Floats = np.degrees(np.column_stack([longitude, latitude]))
        return positions

    @property
    def _origin(self) -> Floats:
        origin: Floats = earth_centred([[self.longitude, self.latitude]])[0]
        return origin

    @property
    def _axes(self) -> Floats:
        """Unit vectors east, north and up (3, 3) at the origin."""
        lam, phi = math.radians(self.longitude), math.radians(self.latitude)
        east = [-math.sin(lam), math.cos(lam), 0.0]
        north = [-math.sin(phi) * math.cos(lam), -math.sin(phi) * math.sin(lam), math.cos(phi)]
        up = [math.cos(phi) * math.cos(lam), math.cos(phi) * math.sin(lam), math.sin(phi)]
        return np.array([east, north, up])


def plane_about(positions: ArrayLike) -> LocalPlane:
    """The plane that touches the ellipsoid amid the positions (n, 2), also across the antimeridian and at a pole."""
    middle = earth_centred(positions).mean(axis=0)
    longitude = math.degrees(math.atan2(middle[1], middle[0]))
    latitude = math.degrees(math.atan2(middle[2], (1 - ECCENTRICITY_2) * math.hypot(middle[0], middle[1])))
    return LocalPlane(longitude, latitude)


def earth_centred(positions: ArrayLike) -> Floats:
    """Longitude and latitude (n, 2) in degrees, on the ellipsoid, to earth-centred x, y, z (n, 3) in m."""
    lam, phi = np.radians(np.asarray(positions, dtype=np.float64).reshape(-1, 2)).T
    normal = SEMI_MAJOR_M / np.sqrt(1 - ECCENTRICITY_2 * np.sin(phi) ** 2)
    x, y = normal * np.cos(phi) * np.cos(lam), normal * np.cos(phi) * np.sin(lam)
    return np.column_stack([x, y, normal * (1 - ECCENTRICITY_2) * np.sin(phi)])
