"""Layouts in other forms than JSON: GeoJSON of those on a drawn plot, and a picture."""

import msgspec

from api import svg
from api.answer_forms import Form
from api.map_features import GEO_JSON
from api.plot_picture import PictureTree, plot_picture, row_bearings
from api.svg import IMAGE_SVG, WIDTH_PX
from domain.ground.layout_answer import DrawnLayout, PlacedTree, RectangleLayout, TreeFeature
from domain.ground.layout_request import PlotLayoutRequest
from domain.ground.plot_layouts import told_plot
from domain.tables.words import say


def is_drawn(asked: PlotLayoutRequest) -> bool:
    """Whether the trees stand on the map."""
    return asked.plot is not None


def as_map(_: PlotLayoutRequest, answered: DrawnLayout) -> str:
    """The answer itself, which is a FeatureCollection with the summary in foreign members."""
    return msgspec.json.encode(answered).decode()


def as_picture(asked: PlotLayoutRequest, answered: DrawnLayout | RectangleLayout) -> str:
    """The trees on their ground."""
    plot = told_plot(asked)
    trees = answered.features if isinstance(answered, DrawnLayout) else answered.trees
    rows = [tree.properties.row if isinstance(tree, TreeFeature) else tree.row for tree in trees]
    places = [(float(x), float(y)) for x, y in plot.frame.to_plane([_place(tree) for tree in trees])] if trees else []
    drawn = [
        PictureTree(
            x=x,
            y=y,
            crown_m=asked.spread_m,
            number=number,
            name="",
            depth_m=asked.depth_m if asked.arrangement == "fence" else None,
            bearing_deg=bearing,
        )
        for number, ((x, y), bearing) in enumerate(zip(places, row_bearings(places, rows), strict=True), start=1)
    ]
    title = say("picture_plot", trees=answered.count, area_m2=answered.plot_area_m2).words
    told = [say("picture_most_that_fit", trees=answered.most_that_fit).words, say("picture_north_up").words]
    said = [one.words for one in (*answered.why, *answered.limits)]
    head = svg.heading(title, [*told, *said[:2]], WIDTH_PX)
    return svg.document(title, " ".join([*told, *said]), [head, *plot_picture(plot, drawn, ())])


def _place(tree: TreeFeature | PlacedTree) -> tuple[float, float]:
    return tree.geometry.coordinates if isinstance(tree, TreeFeature) else (tree.x_m, tree.y_m)


LAYOUT_FORMS = (
    Form(GEO_JSON, "GeoJSON (RFC 7946) of a layout on a drawn plot, the same as in JSON.", as_map, is_drawn),
    Form(IMAGE_SVG, "A picture of the plot with its trees, crowns to scale.", as_picture),
)
