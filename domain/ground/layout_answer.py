"""The answer of `plot-layouts`: where the trees stand, how many could at most, what binds, and the cautions."""

from typing import Literal

import msgspec

from domain.common.cautions import Caution
from domain.ground.layout_request import Arrangement
from domain.ground.layout_words import LayoutLimit, LayoutReason
from domain.ground.set_backs import Kind, SetBackCode
from domain.ground.sunlight import Sun
from domain.tables.words import Sentence


class TreeFacts(msgspec.Struct, frozen=True, kw_only=True):
    """One tree: its number, its row (from 1; null where there are none), its neighbour and its sun."""

    number: int
    row: int | None
    nearest_tree_m: float | None
    sun_hours: float | None
    """Mean daily hours of direct sun under clear sky in the growing season; null where the latitude is unknown."""
    sun: Sun | None


class PlacedTree(TreeFacts, frozen=True, kw_only=True):
    """A tree in a rectangle: metres along its first and its second side."""

    x_m: float
    y_m: float


class SetBackTold(Sentence, frozen=True, kw_only=True):
    """A set-back that was kept, and where its figure comes from."""

    code: SetBackCode
    kind: Kind
    trunk_distance_m: float
    basis: Literal["published", "told", "common_practice"]
    source: str | None


class LayoutSummary(msgspec.Struct, frozen=True, kw_only=True):
    """What holds of the layout as a whole."""

    arrangement: Arrangement
    count: int
    most_that_fit: int
    """A proven bound: no arrangement of such trees holds more; where rows are asked, none in rows with a passage."""
    plot_area_m2: float
    share_for_trunks: float
    row_bearing_deg: float | None
    spacing_in_row_m: float | None
    row_spacing_m: float | None
    limits: tuple[LayoutLimit, ...]
    why: tuple[LayoutReason, ...]
    set_backs: tuple[SetBackTold, ...]
    warnings: tuple[Sentence, ...]
    cautions: tuple[Caution, ...]


class RectangleLayout(LayoutSummary, frozen=True, kw_only=True):
    """A layout in a rectangle."""

    trees: tuple[PlacedTree, ...]


class TreePoint(msgspec.Struct, frozen=True, kw_only=True, tag_field="type", tag="Point"):
    """A GeoJSON Point: longitude and latitude of a trunk."""

    coordinates: tuple[float, float]


class TreeFeature(msgspec.Struct, frozen=True, kw_only=True, tag_field="type", tag="Feature"):
    """A GeoJSON Feature of one tree."""

    geometry: TreePoint
    properties: TreeFacts


class DrawnLayout(LayoutSummary, frozen=True, kw_only=True, tag_field="type", tag="FeatureCollection"):
    """A layout on a drawn plot: a GeoJSON FeatureCollection, the summary in foreign members."""

    features: tuple[TreeFeature, ...]
