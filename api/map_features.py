"""Features on a map: GeoJSON (RFC 7946), WGS 84, outer rings counter-clockwise, no `crs`."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import msgspec
import shapely
from shapely.geometry.polygon import orient

from domain.ground.geojson import AreaFeature, AreaGeometry, MultiPolygon, PlotGeometry, Polygon, plot_outline

GEO_JSON = "application/geo+json"

Feature = dict[str, Any]


def feature(kind: str, coordinates: Sequence[Any], told: Mapping[str, object]) -> Feature:
    """A feature with a geometry of a kind and its properties, of which the unknown are null."""
    return {"type": "Feature", "geometry": {"type": kind, "coordinates": coordinates}, "properties": told}


def collection(features: Iterable[Feature]) -> str:
    """A FeatureCollection as text."""
    return msgspec.json.encode({"type": "FeatureCollection", "features": list(features)}).decode()


def plot_feature(plot: PlotGeometry) -> Feature:
    """The ground as it was drawn."""
    geometry, _ = plot_outline(plot)
    return feature(*_wound(geometry), {"what": "ground"})


def area_features(areas: Iterable[AreaGeometry]) -> list[Feature]:
    """The things to keep clear of as they were drawn, each with its kind."""
    found = []
    for area in areas:
        geometry = area.geometry if isinstance(area, AreaFeature) else area
        properties = area.properties if isinstance(area, AreaFeature) else None
        told = {"what": "area", "kind": "other" if properties is None else properties.kind}
        if isinstance(geometry, Polygon | MultiPolygon):
            found.append(feature(*_wound(geometry), told))
        else:
            found.append(feature(type(geometry).__name__, geometry.coordinates, told))
    return found


def _wound(geometry: Polygon | MultiPolygon) -> tuple[str, list[Any]]:
    """Rings in the direction that RFC 7946, section 3.1.6, asks for; readers may hang on it."""
    if isinstance(geometry, Polygon):
        return "Polygon", _rings(geometry.coordinates)
    return "MultiPolygon", [_rings(rings) for rings in geometry.coordinates]


def _rings(rings: Sequence[Sequence[Sequence[float]]]) -> list[Any]:
    flat = [[place[:2] for place in ring] for ring in rings]
    wound = orient(shapely.Polygon(flat[0], flat[1:]))
    return [[list(place) for place in ring.coords] for ring in (wound.exterior, *wound.interiors)]
