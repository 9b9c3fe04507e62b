"""A plane in metres that touches the ellipsoid at a plot, the way back to longitude and latitude, and distances.

Orthographic projection of the WGS 84 ellipsoid, and geodesics on it, by PROJ: the same at the poles and across the
antimeridian. Lengths on the plane are short by (d/R)^2/2 at a distance d from its middle: 0.03 mm in 100 m at 5 km.

PROJ's transformations have given wrong results when several threads used them at once (issue 1499 of its Python
package, open since 3.7.0), so all of them take turns under one lock; geodesics hold no state and need none.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pyproj import Geod, Transformer
from pyproj.enums import TransformDirection

Floats = NDArray[np.float64]

_ELLIPSOID = Geod(ellps="WGS84")
_A, _E2 = float(_ELLIPSOID.a), float(_ELLIPSOID.es)
_TURN = Lock()
FEW = 16
"""Positions up to which numbers cost less than arrays."""
_DEGREE_M = 111_700.0
"""No degree of latitude is longer, nor any of longitude."""


def _from_degrees(step: str) -> Transformer:
    return Transformer.from_pipeline(
        f"+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step {step} +ellps=WGS84"
    )


_EARTH_CENTRED = _from_degrees("+proj=cart")


@dataclass(frozen=True)
class LocalPlane:
    """Metres east and north of an origin."""

    longitude: float
    latitude: float

    @cached_property
    def _transformer(self) -> Transformer:
        return _from_degrees(f"+proj=ortho +lon_0={self.longitude!r} +lat_0={self.latitude!r}")

    def to_plane(self, positions: ArrayLike) -> Floats:
        """Longitude and latitude (n, 2) in degrees to x east and y north (n, 2) in m; inf behind the earth.

        By the closed formula, which costs less than to have PROJ make a transformation for each plane; a test holds it
        against PROJ.
        """
        told = np.asarray(positions, dtype=np.float64).reshape(-1, 2)
        if len(told) <= FEW:  # numbers one by one, since a call on an array of three costs more than they do
            turns, norths = [math.radians(x - self.longitude) for x in told[:, 0].tolist()], told[:, 1].tolist()
            each = [self._projected(turn, math.radians(y), math) for turn, y in zip(turns, norths, strict=True)]
            return np.array([(x, y) if seen else (np.inf, np.inf) for x, y, seen in each]).reshape(-1, 2)
        turn, north = np.radians(told - (self.longitude, 0.0)).T
        x, y, seen = self._projected(turn, north, np)
        return np.where(seen[:, None], np.column_stack([x, y]), np.inf)

    def _projected(self, turn: Any, north: Any, functions: Any) -> tuple[Any, Any, Any]:
        """x, y and whether it is on this side of the earth, of longitudes from the middle and latitudes in radians.

        functions: `math` for numbers, `numpy` for arrays.
        """
        middle = math.radians(self.latitude)
        sin_0, cos_0 = math.sin(middle), math.cos(middle)
        sin, cos, cos_turn = functions.sin(north), functions.cos(north), functions.cos(turn)
        normal, normal_0 = _A / functions.sqrt(1.0 - _E2 * sin * sin), _A / math.sqrt(1.0 - _E2 * sin_0 * sin_0)
        x = normal * cos * functions.sin(turn)
        y = normal * (sin * cos_0 - cos * sin_0 * cos_turn) + _E2 * (normal_0 * sin_0 - normal * sin) * cos_0
        seen = (sin_0 * sin + cos_0 * cos * cos_turn >= -1e-10) & (abs(north) <= math.pi / 2 + 1e-10)
        return x, y, seen

    def to_positions(self, plane: ArrayLike) -> Floats:
        """Metres east and north (n, 2) to longitude (-180 to 180) and latitude (n, 2) in degrees."""
        x, y = np.asarray(plane, dtype=np.float64).reshape(-1, 2).T
        with _TURN:
            return np.column_stack(self._transformer.transform(x, y, direction=TransformDirection.INVERSE))


def plane_about(positions: ArrayLike) -> LocalPlane:
    """The plane that touches the ellipsoid amid the positions (n, 2), also across the antimeridian and at a pole."""
    x, y = np.asarray(positions, dtype=np.float64).reshape(-1, 2).T
    with _TURN:
        middle = [float(axis.mean()) for axis in _EARTH_CENTRED.transform(x, y, np.zeros_like(x))]
        at = _EARTH_CENTRED.transform(middle[0], middle[1], middle[2], direction=TransformDirection.INVERSE)
    return LocalPlane(at[0], at[1])


def surely_within(positions: Iterable[Sequence[float]], metres: float) -> bool:
    """Whether no two positions in degrees can lie further apart, told without a geodesic: at most by the whole way
    along meridian and equator, and not across the antimeridian.
    """
    longitudes, latitudes = zip(*positions, strict=True)
    apart = max(longitudes) - min(longitudes) + max(latitudes) - min(latitudes)
    return bool(apart * _DEGREE_M <= metres)


def distance_m(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Length (m) of the geodesic between two positions, each longitude and latitude in degrees."""
    return float(_ELLIPSOID.inv(*one, *other)[2])


def distances_m(one: tuple[float, float], others: ArrayLike) -> Floats:
    """The same from one position to each of others (n, 2)."""
    there = np.asarray(others, dtype=np.float64).reshape(-1, 2)
    here = np.broadcast_to(np.array(one), there.shape)
    found: Floats = np.asarray(_ELLIPSOID.inv(here[:, 0], here[:, 1], there[:, 0], there[:, 1])[2])
    return found
