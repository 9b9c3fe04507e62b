"""The map as a picture (SVG): a panel for each cultivar now, one below it in the warmer climate, and the harvest."""

import math
from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape

import shapely

from examples.orchard_map import CULTIVARS, WARMER_C
from examples.orchard_map.agreement import Verdicts
from examples.orchard_map.cells import STEP, Cell, harvest_t, outlines

COLOURS = {"plant": "#1b7837", "worth_trying": "#a6dba0", "not_known": "#d9d9d9", "not_here": "#c2a5cf"}
SAID = {"plant": "plant", "worth_trying": "worth trying", "not_known": "not known", "not_here": "not here"}
WEST, EAST, SOUTH, NORTH = 128.0, 146.2, 30.5, 45.8
"""What a panel shows; islands far to the south-west are left to the table."""
MIDDLE_LATITUDE = 37.5
PANEL_WIDTH, HEAD, GAP = 190.0, 18.0, 10.0
SCALE = PANEL_WIDTH / ((EAST - WEST) * math.cos(math.radians(MIDDLE_LATITUDE)))
PANEL_HEIGHT = (NORTH - SOUTH) * SCALE
ACROSS = 6


def picture(now: Verdicts, warmer: Verdicts) -> str:
    """The whole picture."""
    width = ACROSS * (PANEL_WIDTH + GAP) + GAP
    block = 2 * (PANEL_HEIGHT + HEAD + GAP)
    height = 2 * block + 3 * HEAD
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.0f}" height="{height:.0f}" '
        f'viewBox="0 0 {width:.0f} {height:.0f}" font-family="sans-serif" font-size="12">',
        f'<rect width="{width:.0f}" height="{height:.0f}" fill="white"/>',
        f'<defs><path id="land" d="{_outline()}" fill="none" stroke="#666" stroke-width="0.35"/></defs>',
    ]
    for n, cultivar in enumerate(CULTIVARS):
        row, column = divmod(n, ACROSS - 1)
        x, y = GAP + column * (PANEL_WIDTH + GAP), GAP + row * block
        parts += _panel(x, y, f"{cultivar}, now", _of(now, cultivar))
        parts += _panel(x, y + block / 2, f"{cultivar}, {WARMER_C:g} C warmer", _of(warmer, cultivar))
    parts += _harvest(GAP + (ACROSS - 1) * (PANEL_WIDTH + GAP), GAP)
    parts += _key(GAP, height - 2 * HEAD)
    return "\n".join([*parts, "</svg>", ""])


def _of(verdicts: Verdicts, cultivar: str) -> dict[Cell, str]:
    return {cell: verdict for (cell, name), verdict in verdicts.items() if name == cultivar}


def _at(longitude: float, latitude: float) -> tuple[float, float]:
    return (longitude - WEST) * SCALE * math.cos(math.radians(MIDDLE_LATITUDE)), (NORTH - latitude) * SCALE


def _panel(x: float, y: float, title: str, verdicts: dict[Cell, str]) -> list[str]:
    """One map. The cells of a verdict are one path, so that the file stays small."""
    parts = [f'<g transform="translate({x:.1f} {y:.1f})">', f'<text y="12">{escape(title)}</text>']
    parts.append(f'<g transform="translate(0 {HEAD})">')
    for verdict, colour in COLOURS.items():
        path = _squares(cell for cell, said in verdicts.items() if said == verdict)
        if path:
            parts.append(f'<path d="{path}" fill="{colour}"/>')
    return [*parts, '<use href="#land"/></g></g>']


def _squares(cells: Iterable[Cell]) -> str:
    wide, high = STEP * SCALE * math.cos(math.radians(MIDDLE_LATITUDE)), STEP * SCALE
    corners = [
        _at(cell.longitude - STEP / 2, cell.latitude + STEP / 2)
        for cell in cells
        if WEST < cell.longitude < EAST and SOUTH < cell.latitude < NORTH
    ]
    return "".join(f"M{x:.1f} {y:.1f}h{wide:.1f}v{high:.1f}h-{wide:.1f}z" for x, y in corners)


def _outline() -> str:
    rings: list[Sequence[tuple[float, float]]] = []
    for outline in outlines().values():
        for part in shapely.get_parts(outline):
            ring = [_at(*point) for point in part.exterior.coords]
            if all(0 <= x <= PANEL_WIDTH and 0 <= y <= PANEL_HEIGHT for x, y in ring):
                rings.append(ring)
    return "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ring[:-1]) + "z" for ring in rings)


def _harvest(x: float, y: float) -> list[str]:
    """Where the apples are picked: a disc for each prefecture, its area as the harvest."""
    parts = [f'<g transform="translate({x:.1f} {y:.1f})">', '<text y="12">Harvest of 2020</text>']
    parts.append(f'<g transform="translate(0 {HEAD})"><use href="#land"/>')
    shapes = outlines()
    for prefecture, tonnes in harvest_t().items():
        middle = shapes[prefecture].representative_point()
        across, down = _at(middle.x, middle.y)
        radius = 20.0 * math.sqrt(tonnes / 463000.0)
        if radius >= 0.3 and 0 <= across <= PANEL_WIDTH and 0 <= down <= PANEL_HEIGHT:
            parts.append(
                f'<circle cx="{across:.1f}" cy="{down:.1f}" r="{radius:.1f}" fill="#b2182b" fill-opacity="0.6"/>'
            )
    return [*parts, "</g></g>"]


def _key(x: float, y: float) -> list[str]:
    parts = []
    for n, (verdict, colour) in enumerate(COLOURS.items()):
        parts.append(f'<rect x="{x + 120 * n:.0f}" y="{y:.0f}" width="12" height="12" fill="{colour}"/>')
        parts.append(f'<text x="{x + 120 * n + 18:.0f}" y="{y + 11:.0f}">{SAID[verdict]}</text>')
    sources = (
        "Outlines: Natural Earth (public domain). Harvest: Crop Statistics of Japan, 2020. "
        "Climate: contains modified Copernicus Climate Change Service information."
    )
    return [*parts, f'<text x="{x + 500:.0f}" y="{y + 11:.0f}">{sources}</text>']
