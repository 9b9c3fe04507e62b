"""Where trees stand on a plot or a rectangle, and how many could."""

from api.advisor import Advisor, Versions
from api.computations import computation
from api.layout_forms import LAYOUT_FORMS
from domain.ground.layout_answer import DrawnLayout, RectangleLayout
from domain.ground.layout_request import PlotLayoutRequest
from domain.ground.plot_layouts import lay_out


class RectangleLayoutAnswer(RectangleLayout, frozen=True, kw_only=True, tag_field="type", tag="Rectangle"):
    """Trees in a rectangle, in metres along its two sides."""

    versions: Versions


class DrawnLayoutAnswer(DrawnLayout, frozen=True, kw_only=True, tag_field="type", tag="FeatureCollection"):
    """Trees on a drawn plot: a GeoJSON FeatureCollection in the caller's coordinates."""

    versions: Versions


def lay_out_plot(asked: PlotLayoutRequest, advisor: Advisor) -> RectangleLayoutAnswer | DrawnLayoutAnswer:
    """Place trees of one size in rows, freely, along a fence or in pots, clear of everything that is drawn."""
    computed = lay_out(asked)
    if isinstance(computed, DrawnLayout):
        return advisor.answer(DrawnLayoutAnswer, computed)
    return advisor.answer(RectangleLayoutAnswer, computed)


PLOT_LAYOUTS = computation(
    "/v1/plot-layouts",
    lay_out_plot,
    operation_id="layOutPlot",
    title="Trees laid out on a plot",
    summary="Trees laid out on a plot",
    tag="space",
    examples=("hollin-lane-plot-layouts", "walled-corner-plot-layouts"),
    forms=LAYOUT_FORMS,
)
