"""The plane at a plot by its formula, against PROJ's orthographic projection of the ellipsoid."""

import numpy as np
import pytest
from pyproj import Transformer

from domain.ground.projection import LocalPlane

MIDDLES = [(0.5, 51.3), (179.999, -41.2), (-180.0, 0.0), (20.0, 90.0), (-70.0, -89.9), (12.3, 23.4)]


@pytest.mark.parametrize(("longitude", "latitude"), MIDDLES)
@pytest.mark.parametrize("degrees", [0.0005, 0.05, 5.0, 120.0])
def test_positions_lie_where_proj_lays_them(longitude: float, latitude: float, degrees: float) -> None:
    """Also far off, where it hides what lies behind the earth."""
    drawn = np.random.default_rng(3)
    east, north = drawn.uniform(-degrees, degrees, (2, 200))
    positions = np.column_stack([longitude + east, np.clip(latitude + north, -90, 90)])
    step = f"+step +proj=ortho +lon_0={longitude!r} +lat_0={latitude!r} +ellps=WGS84"
    proj = Transformer.from_pipeline(f"+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad {step}")
    expected = np.column_stack(proj.transform(*positions.T))
    np.testing.assert_allclose(LocalPlane(longitude, latitude).to_plane(positions), expected, rtol=0, atol=1e-7)
