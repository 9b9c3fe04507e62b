"""The free layout against the best known packings of equal circles, at 97 % of their diameter.

Sources. In a circle of radius 1, the largest radius of n equal circles: E. Specht, "The best known packings of equal
circles in a circle", data in the repository jcmiller11/circlepacking, commit b75515f6, 2014 (n to 30). The ratios of
37 and more are from memory (E. Specht, same tables); they are marked. In a square, the side for circles of radius 1:
"Circle packing in a square", Infogalactic copy of the Wikipedia article. Counts in a square of whole area: Ya-Ping Lu,
OEIS A337020, 2020. Counts in a circle of whole radius: D. W. Wilson and H. Pfoertner, OEIS A023393.
"""

import math
from collections.abc import Callable

import numpy as np
import shapely

from domain.ground.layout_free import lay_free
from domain.ground.room import most_that_fit
from tests.published.cases import Case, parametrized

SHARE = 0.97


def circle(radius: float, corners: int = 360) -> shapely.Polygon:
    """A polygon about a circle, so that the circle lies inside it."""
    angle = np.linspace(0, 2 * math.pi, corners, endpoint=False)
    outer = radius / math.cos(math.pi / corners)
    return shapely.Polygon(outer * np.column_stack([np.cos(angle), np.sin(angle)]))


def hold(trees: np.ndarray, container: shapely.Polygon, spacing: float) -> None:
    points = shapely.points(trees)
    assert float(shapely.distance(points, container.boundary).min()) >= spacing / 2 * (1 - 1e-9)
    assert bool(shapely.contains(container, points).all())
    for k in range(len(trees)):
        assert float(np.hypot(*(trees[k + 1 :] - trees[k]).T).min(initial=np.inf)) >= spacing * (1 - 1e-9)


def check(container: shapely.Polygon, n: int, diameter: float) -> None:
    spacing = SHARE * diameter
    region = container.buffer(-spacing / 2)
    trees = lay_free(region, spacing, most=n)
    assert len(trees) == n
    hold(trees, container, spacing)
    assert most_that_fit(region, spacing) >= n


FIGURES: dict[str, Callable[[float], tuple[shapely.Polygon, float]]] = {
    "radius in the unit circle": lambda truth: (circle(1.0), 2 * truth),
    "radius of the circle over theirs": lambda truth: (circle(1.0), 2 / truth),
    "side of the square for radius 1": lambda truth: (shapely.box(0, 0, truth, truth), 2.0),
    "area of the square for area 1": lambda truth: (
        shapely.box(0, 0, math.sqrt(truth), math.sqrt(truth)), 2 / math.sqrt(math.pi)
    ),
    "radius of the circle for radius 1": lambda truth: (circle(truth), 2.0),
}  # fmt: skip
"""How a row of data/circle_packings.csv tells its container and the diameter of the circles in it."""


@parametrized("circle_packings.csv", lambda case: f"{case['circles']} by {case['figure']} {case['truth']}")
def test_best_known_packings(case: Case) -> None:
    n = int(case["circles"])
    container, diameter = FIGURES[case["figure"]](float(case["truth"]))
    check(container, n, diameter)


@parametrized(
    "circle_packings.csv",
    lambda case: case["circles"],
    lambda case: case["figure"] == "radius in the unit circle" and case["circles"] != "1",
)
def test_the_bound_is_never_below_what_is_known_to_fit(case: Case) -> None:
    spacing = 2 * float(case["truth"]) * (1 - 1e-9)
    assert most_that_fit(circle(1.0).buffer(-spacing / 2), spacing) >= int(case["circles"])


def test_the_bound_of_a_split_region_is_that_of_its_parts() -> None:
    two = shapely.union(shapely.box(0, 0, 3, 3), shapely.box(100, 0, 103, 3))
    assert most_that_fit(two, 2.9) == 2 * most_that_fit(shapely.box(0, 0, 3, 3), 2.9)
