"""Plots drawn in metres about a place and handed over in longitude and latitude, as a caller would."""

from collections.abc import Sequence
from typing import Any

import msgspec
import numpy as np
from shapely import Polygon

from domain.ground.layout_answer import DrawnLayout
from domain.ground.layout_request import PlotLayoutRequest
from domain.ground.plot_layouts import lay_out
from domain.ground.projection import Floats, LocalPlane

HERE = LocalPlane(9.1, 52.3)
Corners = Sequence[tuple[float, float]]

L_SHAPE: Corners = [(0, 0), (30, 0), (30, 22), (18, 22), (18, 12), (0, 12)]


def ring(corners: Corners, plane: LocalPlane = HERE) -> list[list[float]]:
    positions: list[list[float]] = plane.to_positions([*corners, corners[0]]).tolist()
    positions[-1] = positions[0]
    return positions


def polygon(*rings: Corners, plane: LocalPlane = HERE) -> dict[str, Any]:
    return {"type": "Polygon", "coordinates": [ring(corners, plane) for corners in rings]}


def thing(geometry: dict[str, Any], **properties: object) -> dict[str, Any]:
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def asked(**body: object) -> PlotLayoutRequest:
    return msgspec.convert(body, PlotLayoutRequest)


def laid(**body: object) -> DrawnLayout:
    answer = lay_out(asked(**body))
    assert isinstance(answer, DrawnLayout)
    return answer


def trunks(answer: DrawnLayout, plane: LocalPlane = HERE) -> Floats:
    """Trunks in metres on the plane in which the plot was drawn."""
    return plane.to_plane([feature.geometry.coordinates for feature in answer.features])


def star(size: float, points: int = 60) -> Corners:
    """A ragged plot of many corners, about 2 x size across."""
    angle = np.linspace(0, 2 * np.pi, points, endpoint=False)
    ragged = np.random.default_rng(7).uniform(-0.06, 0.06, points)
    radius = size * (1 + 0.24 * np.sin(3 * angle) + ragged)
    return [(float(x), float(y)) for x, y in np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])]


def ground(*rings: Corners) -> Polygon:
    return Polygon(rings[0], rings[1:])
