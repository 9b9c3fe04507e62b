"""The free layout against the best known packings of equal circles, at 97 % of their diameter.

Sources. In a circle of radius 1, the largest radius of n equal circles: E. Specht, "The best known packings of equal
circles in a circle", data in the repository jcmiller11/circlepacking, commit b75515f6, 2014 (n to 30). The ratios of
37 and more are from memory (E. Specht, same tables); they are marked. In a square, the side for circles of radius 1:
"Circle packing in a square", Infogalactic copy of the Wikipedia article. Counts in a square of whole area: Ya-Ping Lu,
OEIS A337020, 2020. Counts in a circle of whole radius: D. W. Wilson and H. Pfoertner, OEIS A023393.
"""

import math

import numpy as np
import pytest
import shapely

from domain.ground.layout_free import lay_free
from domain.ground.room import most_that_fit

SHARE = 0.97

RADIUS_IN_UNIT_CIRCLE = {
    1: 1.0, 2: 0.5, 3: 0.46410161513775, 4: 0.41421356237309, 5: 0.37019190815875, 6: 0.33333333333333,
    7: 0.33333333333333, 8: 0.30259338834861, 9: 0.27676865391415, 10: 0.26225892419016, 11: 0.25485470171714,
    12: 0.24816347057168, 13: 0.23606797749978, 14: 0.23103072797100, 15: 0.22117253908639, 16: 0.21666474292442,
    17: 0.20867966557049, 18: 0.20560464675956, 19: 0.20560464675956, 20: 0.19522401101874, 21: 0.19039214684905,
    22: 0.18383302658168, 23: 0.18033600925443, 24: 0.17693913059596, 25: 0.17382766142122, 26: 0.17158025218716,
    27: 0.16930793113457, 28: 0.16625275003860, 29: 0.16290364927664,
}  # fmt: skip
RATIO_FROM_MEMORY = {37: 6.7588, 61: 8.6613, 91: 10.5668, 100: 11.0821}
"""Radius of the circle over that of the n circles in it."""
SIDE_FOR_UNIT_CIRCLES = {
    2: 3.41421356237, 3: 3.93185165258, 4: 4.0, 5: 4.82842712475, 7: 5.73205080757, 10: 6.747, 14: 7.73205080757,
    20: 8.97808335282,
}  # fmt: skip
COUNT_IN_SQUARE_OF_AREA = {4: 2, 5: 3, 6: 4, 7: 4, 8: 5, 9: 5, 15: 10, 26: 20, 27: 20}
"""Most circles of area 1."""
COUNT_IN_CIRCLE_OF_RADIUS = {1: 1, 2: 1, 3: 7, 4: 11, 5: 19, 6: 27}
"""Most circles of radius 1."""


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


@pytest.mark.parametrize("n", RADIUS_IN_UNIT_CIRCLE)
def test_in_a_circle(n: int) -> None:
    check(circle(1.0), n, 2 * RADIUS_IN_UNIT_CIRCLE[n])


@pytest.mark.parametrize("n", RATIO_FROM_MEMORY)
def test_many_in_a_circle(n: int) -> None:
    check(circle(1.0), n, 2 / RATIO_FROM_MEMORY[n])


@pytest.mark.parametrize("n", SIDE_FOR_UNIT_CIRCLES)
def test_in_a_square(n: int) -> None:
    check(shapely.box(0, 0, SIDE_FOR_UNIT_CIRCLES[n], SIDE_FOR_UNIT_CIRCLES[n]), n, 2.0)


@pytest.mark.parametrize("area", COUNT_IN_SQUARE_OF_AREA)
def test_counts_in_a_square(area: int) -> None:
    check(shapely.box(0, 0, math.sqrt(area), math.sqrt(area)), COUNT_IN_SQUARE_OF_AREA[area], 2 / math.sqrt(math.pi))


@pytest.mark.parametrize("radius", COUNT_IN_CIRCLE_OF_RADIUS)
def test_counts_in_a_circle(radius: int) -> None:
    check(circle(radius), COUNT_IN_CIRCLE_OF_RADIUS[radius], 2.0)


@pytest.mark.parametrize("n", [n for n in RADIUS_IN_UNIT_CIRCLE if n > 1])
def test_the_bound_is_never_below_what_is_known_to_fit(n: int) -> None:
    spacing = 2 * RADIUS_IN_UNIT_CIRCLE[n] * (1 - 1e-9)
    assert most_that_fit(circle(1.0).buffer(-spacing / 2), spacing) >= n


def test_the_bound_of_a_split_region_is_that_of_its_parts() -> None:
    two = shapely.union(shapely.box(0, 0, 3, 3), shapely.box(100, 0, 103, 3))
    assert most_that_fit(two, 2.9) == 2 * most_that_fit(shapely.box(0, 0, 3, 3), 2.9)
