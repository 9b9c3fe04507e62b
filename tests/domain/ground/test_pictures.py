"""Ten layouts drawn, to look at and ask: would you dig those holes? They lie in build/pictures after a run."""

import re
from pathlib import Path
from typing import Any

import msgspec
import pytest
import shapely

from domain.ground.layout_answer import DrawnLayout
from domain.ground.layout_request import PlotLayoutRequest
from domain.ground.plot import Plot
from domain.ground.plot_layouts import lay_out, told_plot
from domain.ground.projection import Floats
from tests.domain.ground.drawing import L_SHAPE, polygon, ring, star, thing

PICTURES = Path(__file__).parents[3] / "build" / "pictures"

HOUSE = [(12, 13), (17, 13), (17, 18), (12, 18)]
HOUSE_AND_LINE = [
    thing(polygon(HOUSE), kind="house", height_m=6),
    thing({"type": "LineString", "coordinates": ring([(2, 0), (24, 22)])[:2]}, kind="buried_line"),
]
RECTANGLE = {"rectangle_m": [9, 12], "latitude": 50, "spread_m": 2.4, "height_m": 2.5}

LAYOUTS: dict[str, dict[str, Any]] = {
    "l-shape-in-rows": {"plot": polygon(L_SHAPE), "spread_m": 3.0},
    "l-shape-free": {"plot": polygon(L_SHAPE), "spread_m": 3.0, "arrangement": "free"},
    "l-shape-with-house-and-line": {"plot": polygon(L_SHAPE), "no_planting_areas": HOUSE_AND_LINE, "spread_m": 3.0},
    "ragged-plot": {"plot": polygon(star(14)), "spread_m": 3.5},
    "plot-with-a-pond": {"plot": polygon(L_SHAPE, [(4, 4), (8, 4), (8, 8), (4, 8)]), "spread_m": 2.5},
    "rectangle-in-rows": RECTANGLE,
    "rectangle-free": {**RECTANGLE, "arrangement": "free"},
    "rectangle-of-pots": {**RECTANGLE, "spread_m": 1.2, "height_m": 1.5, "arrangement": "pots"},
    "rectangle-of-six": {**RECTANGLE, "tree_count": 6},
    "along-a-fence": {**RECTANGLE, "fence_m": [[0, 0.2], [8.8, 0.2], [8.8, 11]], "arrangement": "fence"},
}


def picture(plot: Plot, trees: Floats, spread_m: float) -> str:
    """An SVG of a plot, the things on it and the crowns of its trees."""
    x0, y0, x1, y1 = plot.ground.buffer(2).bounds
    shapes = [plot.ground.svg(fill_color="#dde8cc", opacity=1), *(thing.shape.svg() for thing in plot.obstacles)]
    crowns = [
        f'<circle class="crown" cx="{x:.3f}" cy="{y:.3f}" r="{spread_m / 2:.3f}" fill="#4a9a3a" opacity="0.7"/>'
        f'<circle cx="{x:.3f}" cy="{y:.3f}" r="0.1"/>'
        for x, y in trees.tolist()
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{x0} {-y1} {x1 - x0} {y1 - y0}" stroke-width="0.05">'
        f'<g transform="scale(1,-1)">{"".join([*shapes, *crowns])}</g></svg>'
    )


@pytest.mark.parametrize("name", LAYOUTS)
def test_a_layout_is_drawn(name: str) -> None:
    request = msgspec.convert(LAYOUTS[name], PlotLayoutRequest)
    plot, told = told_plot(request), lay_out(request)
    places = (
        [feature.geometry.coordinates for feature in told.features]
        if isinstance(told, DrawnLayout)
        else [(tree.x_m, tree.y_m) for tree in told.trees]
    )
    trees = plot.frame.to_plane(places)
    drawn = picture(plot, trees, request.spread_m)
    PICTURES.mkdir(parents=True, exist_ok=True)
    (PICTURES / f"{name}.svg").write_text(drawn, encoding="utf-8")
    crowns = re.findall(r'class="crown" cx="([-0-9.]+)" cy="([-0-9.]+)"', drawn)
    assert len(crowns) == told.count >= 3
    assert all(plot.ground.covers(shapely.Point(float(x), float(y))) for x, y in crowns)
