"""A plot seen from above, north at the top: its ground, what stands on it, crowns to scale, a scale bar and a key.

A number in a crown leads to the key below, so that names never run into each other; a name that has room in the crown
stands there too.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

import shapely
from shapely.geometry.base import BaseGeometry

from api import svg
from api.svg import INK, WIDTH_PX, Part, element, text, titled
from domain.ground.plot import Obstacle, Plot
from domain.tables.words import label

MOST_HEIGHT_PX = 760.0
_MARGIN_M, _LEAST_MARGIN_M = 0.06, 1.0
_FOOT_PX = 44.0
_SIZES = (13.0, 10.0, 8.0)
_NAME_BELOW_PX = 14.0
NO_NAMES: Mapping[str, str] = {}
_TRUNK_M = 0.5
"""Radius in which a standing tree of unknown width is drawn."""


@dataclass(frozen=True)
class PictureTree:
    """A tree: its place on the plane (m east and north), its crown (m) and which entry of the key it is.

    depth_m: of a tree trained flat, along the bearing.
    """

    x: float
    y: float
    crown_m: float
    number: int
    name: str
    depth_m: float | None = None
    bearing_deg: float = 0.0


@dataclass(frozen=True)
class _Look:
    fill: str
    stroke: str
    dashes: str | None = None
    width: float = 1.5


_LOOKS = {
    "house": _Look("#c9c2bb", "#4b4540"),
    "shrinkable_clay": _Look("#c9c2bb", "#4b4540"),
    "fence": _Look("#8a6d4b", "#5e4526", None, 4),
    "path": _Look("#eadfc6", "#8a7647", None, 3),
    "boundary": _Look("none", "#3c3c3c", "8 4"),
    "buried_line": _Look("none", "#8a3b12", "3 4", 2.5),
    "power_line": _Look("none", "#8f1d1d", "12 4 2 4", 2.5),
    "transformer": _Look("#e8c3c3", "#8f1d1d"),
    "septic_field": _Look("#dcd3ea", "#5b3f8c", "4 3"),
    "existing_tree": _Look("#b9c7b0", "#3f5239", "5 3"),
    "pond": _Look("#cfe3f2", "#215a86"),
    "well": _Look("#cfe3f2", "#215a86"),
    "pitch": _Look("#e2ecd0", "#5d7730", "6 3"),
    "bank": _Look("#e6dccb", "#6f5a32", "2 3"),
    "other": _Look("#e4e4e4", "#555555", "4 2"),
}
_GROUND = _Look("#f4f6ec", "#37432f", None, 2)
_CROWN = _Look("#cfe6bd", "#2c6327")


def plot_picture(
    plot: Plot, trees: Sequence[PictureTree], key: Sequence[str], standing: Mapping[str, str] = NO_NAMES
) -> list[Part]:
    """The plot, and below it what its numbers and colours mean.

    key: entry `number - 1` of each tree; may be empty. standing: names of trees that stand, by their place in the
    request (a JSON pointer).
    """
    view = _View.of(plot.ground)
    drawn = [_geometry(plot.ground, view, _GROUND, label("picture", "ground"))]
    near = [one for one in plot.obstacles if one.shape.buffer(0.01).intersects(view.window)]
    for one in sorted(near, key=lambda thing: thing.kind == "existing_tree"):
        drawn.append(_thing(one, view, standing.get(one.place, "")))
    drawn += [_tree(tree, view) for tree in trees]
    inside = element("g", "".join(drawn), clip_path="url(#window)")
    clip = element("clipPath", element("rect", width=view.width, height=view.height), id="window")
    edge = element("rect", width=view.width, height=view.height, fill="none", stroke="#b8beb2")
    foot = _scale_bar(view) + _north(view)
    above = Part(WIDTH_PX, view.height + _FOOT_PX, clip + inside + edge + foot)
    kinds = sorted({one.kind for one in near})
    return [above, *_key(trees, key, kinds)]


def row_bearings(places: Sequence[tuple[float, float]], rows: Sequence[int | None]) -> list[float]:
    """Where each tree's row runs, degrees clockwise from north: to its nearest neighbour in the row; 90 if alone."""
    in_row: dict[int | None, list[int]] = {}
    for n, row in enumerate(rows):
        in_row.setdefault(row, []).append(n)
    found = [90.0] * len(places)
    for members in in_row.values():
        if len(members) < 2:
            continue
        tree = shapely.STRtree(shapely.points([places[n] for n in members]))
        own, nearest = tree.query_nearest(tree.geometries, exclusive=True, all_matches=True)
        for n, neighbours in groupby(zip(own.tolist(), nearest.tolist(), strict=True), key=itemgetter(0)):
            x, y = places[members[n]]
            east, north = min(places[members[m]] for _, m in neighbours)  # of equally near ones always the same
            found[members[n]] = math.degrees(math.atan2(east - x, north - y)) % 180.0
    return found


@dataclass(frozen=True)
class _View:
    """From metres on the plane to px of the picture."""

    left: float
    top: float
    px_per_m: float
    width: float
    height: float

    @classmethod
    def of(cls, ground: BaseGeometry) -> "_View":
        west, south, east, north = ground.bounds
        margin = max(_MARGIN_M * max(east - west, north - south), _LEAST_MARGIN_M)
        wide, high = east - west + 2 * margin, north - south + 2 * margin
        px_per_m = min(WIDTH_PX / wide, MOST_HEIGHT_PX / high)
        spare = (WIDTH_PX / px_per_m - wide) / 2
        return cls(west - margin - spare, north + margin, px_per_m, WIDTH_PX, high * px_per_m)

    @property
    def window(self) -> BaseGeometry:
        return shapely.box(
            self.left, self.top - self.height / self.px_per_m, self.left + self.width / self.px_per_m, self.top
        )

    def at(self, x: float, y: float) -> tuple[float, float]:
        return (x - self.left) * self.px_per_m, (self.top - y) * self.px_per_m


def _thing(thing: Obstacle, view: _View, name: str) -> str:
    look = _LOOKS.get(thing.kind, _LOOKS["other"])
    shape = thing.shape
    if thing.kind == "existing_tree" and shape.geom_type == "Point":
        shape = shape.buffer(_TRUNK_M if thing.spread_m is None else thing.spread_m / 2)
    told = label("picture", thing.kind)
    drawn = _geometry(shape, view, look, f"{told}: {name}" if name else told)
    if name and shape.geom_type == "Polygon":
        x, y = view.at(shape.centroid.x, shape.centroid.y)
        room = 2 * view.px_per_m * math.sqrt(shape.area / math.pi)
        if svg.width_of(name, 12) <= room - 4:
            drawn += text(name, x, y + 4, 12, text_anchor="middle")
    return drawn


def _geometry(shape: BaseGeometry, view: _View, look: _Look, name: str) -> str:
    return titled(name, *_drawn(shape, view, look))


def _drawn(shape: BaseGeometry, view: _View, look: _Look) -> Iterator[str]:
    line: dict[str, str | float | None] = {
        "stroke": look.stroke,
        "stroke_width": look.width,
        "stroke_dasharray": look.dashes,
    }
    if shape.geom_type == "Polygon":
        rings = [shape.exterior, *shape.interiors]
        path = " ".join(f"M{svg.points(view.at(*place) for place in ring.coords)}Z" for ring in rings)
        yield element("path", d=path, fill=look.fill, fill_rule="evenodd", **line)
    elif shape.geom_type in {"LineString", "LinearRing"}:
        yield element("polyline", points=svg.points(view.at(*place) for place in shape.coords), fill="none", **line)
    elif shape.geom_type == "Point":
        x, y = view.at(shape.x, shape.y)
        yield element("circle", cx=x, cy=y, r=5, fill=look.fill, **line)
    else:
        for one in shape.geoms:
            yield from _drawn(one, view, look)


def _tree(tree: PictureTree, view: _View) -> str:
    x, y = view.at(tree.x, tree.y)
    half = tree.crown_m / 2 * view.px_per_m
    look: dict[str, str | float | None] = {"fill": _CROWN.fill, "stroke": _CROWN.stroke, "stroke_width": 1.5}
    if tree.depth_m is None:
        crown = element("circle", cx=x, cy=y, r=half, **look)
        return titled(tree.name or f"{tree.number}", crown, *_in_crown(tree, x, y, half))
    thick = tree.depth_m / 2 * view.px_per_m
    turn = f"rotate({tree.bearing_deg - 90:.1f} {x:.2f} {y:.2f})"
    flat = element(
        "rect",
        x=x - half, y=y - thick, width=2 * half, height=2 * thick, rx=min(thick, half) / 2, transform=turn, **look,
    )  # fmt: skip
    return titled(tree.name or f"{tree.number}", flat, *_in_crown(tree, x, y, min(thick, half)))


def _in_crown(tree: PictureTree, x: float, y: float, radius: float) -> Iterator[str]:
    """The number, and the name below it, each where it has room; a trunk where nothing has."""
    number = f"{tree.number}"
    size = next((size for size in _SIZES if math.hypot(svg.width_of(number, size), size * 0.75) <= 2 * radius), None)
    if size is None:
        yield element("circle", cx=x, cy=y, r=min(2.0, radius), fill=INK)
        return
    chord = 2 * math.sqrt(max(radius**2 - _NAME_BELOW_PX**2, 0.0))
    named = bool(tree.name) and svg.width_of(tree.name, 11) <= chord - 4
    yield text(number, x, y + (-1.5 if named else size * 0.35), size, text_anchor="middle", font_weight="bold")
    if named:
        yield text(tree.name, x, y + _NAME_BELOW_PX - 3, 11, text_anchor="middle")


def _scale_bar(view: _View) -> str:
    most = view.width / 4 / view.px_per_m
    power = 10.0 ** math.floor(math.log10(most))
    length = max(step * power for step in (1, 2, 5) if step * power <= most)
    y, px = view.height + 16, length * view.px_per_m
    bar = element(
        "path", d=f"M0,{y - 5:.1f}V{y + 5:.1f}M0,{y:.1f}H{px:.1f}M{px:.1f},{y - 5:.1f}V{y + 5:.1f}", stroke=INK
    )
    return bar + text(f"{length:g} m", px + 8, y + 5, 13)


def _north(view: _View) -> str:
    x, y = view.width - 14, view.height + 6
    arrow = element("path", d=f"M{x:.1f},{y:.1f}l7,24l-7,-6l-7,6Z", fill=INK)
    words = label("picture", "north")
    return arrow + text(words, x - 14, y + 17, 13, text_anchor="end")


def _key(trees: Sequence[PictureTree], key: Sequence[str], kinds: Sequence[str]) -> Iterator[Part]:
    """What the numbers and the colours mean, in two columns where the entries are short enough."""
    entries = [(f"{n}", words) for n, words in enumerate(key, start=1)]
    things = [(label("picture", kind), _LOOKS.get(kind, _LOOKS["other"])) for kind in kinds]
    if trees:
        things.insert(0, (label("picture", "crown"), _CROWN))
    things.insert(0, (label("picture", "ground"), _GROUND))
    if entries:
        longest = max(svg.width_of(words) for _, words in entries) + 40
        yield _columns(longest, len(entries), lambda n, x, y: _numbered(*entries[n], x, y))
    longest = max(svg.width_of(words) for words, _ in things) + 40
    yield _columns(longest, len(things), lambda n, x, y: _coloured(*things[n], x, y))


def _columns(least: float, count: int, drawn: Callable[[int, float, float], str]) -> Part:
    across = max(int(WIDTH_PX // max(least, 1)), 1)
    down = math.ceil(count / across)
    wide = WIDTH_PX / across
    parts = [drawn(n, n // down * wide, n % down * svg.LINE_PX) for n in range(count)]
    return Part(WIDTH_PX, down * svg.LINE_PX, "".join(parts))


def _numbered(number: str, words: str, x: float, y: float) -> str:
    return text(number, x + 24, y + 15, text_anchor="end", font_weight="bold") + text(
        svg.shortened(words, WIDTH_PX - 34), x + 32, y + 15
    )


def _coloured(words: str, look: _Look, x: float, y: float) -> str:
    swatch = element(
        "rect",
        x=x + 2, y=y + 4, width=20, height=12, fill=look.fill, stroke=look.stroke, stroke_dasharray=look.dashes,
        stroke_width=min(look.width, 2.5),
    )  # fmt: skip
    return swatch + text(words, x + 32, y + 15)
