"""Where trees stand on a plot or a rectangle, and how many could."""

from typing import Any

from litestar import Request, post
from litestar.di import NamedDependency
from litestar.params import RawBody

from api import queries, strict_bodies
from api.advisor import Advisor, Versions
from domain.ground.layout_answer import DrawnLayout, RectangleLayout
from domain.ground.layout_request import PlotLayoutRequest
from domain.ground.plot_layouts import lay_out


class RectangleLayoutAnswer(RectangleLayout, frozen=True, kw_only=True):
    """Trees in a rectangle, in metres along its two sides."""

    versions: Versions


class DrawnLayoutAnswer(DrawnLayout, frozen=True, kw_only=True, tag_field="type", tag="FeatureCollection"):
    """Trees on a drawn plot: a GeoJSON FeatureCollection in the caller's coordinates."""

    versions: Versions


@post(
    "/plot-layouts",
    status_code=200,
    operation_id="layOutPlot",
    summary="Trees laid out on a plot",
    tags=["space"],
    sync_to_thread=True,
)
def lay_out_plot(
    request: Request[Any, Any, Any], body: RawBody, advisor: NamedDependency[Advisor]
) -> RectangleLayoutAnswer | DrawnLayoutAnswer:
    """Place trees of one size in rows, freely, along a fence or in pots, clear of everything that is drawn."""
    queries.read(request, queries.NoQuery)
    computed = lay_out(strict_bodies.read(request, body, PlotLayoutRequest))
    if isinstance(computed, DrawnLayout):
        return advisor.answer(DrawnLayoutAnswer, computed)
    return advisor.answer(RectangleLayoutAnswer, computed)
