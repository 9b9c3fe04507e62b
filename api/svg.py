"""Pictures as SVG 1.1: elements written out, parts stacked into one document with a title that is read aloud.

Only presentation attributes are used, no style and no script, so that a picture shows under any content policy.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

INK, FAINT, PAPER = "#1f2421", "#5c6660", "#ffffff"
"""Colours of text and lines, of what stands back (7:1 and 5:1 on paper), and of paper."""
FONT = "system-ui, sans-serif"
LINE_PX = 20.0
WIDTH_PX = 760.0
"""Of every part that fills the width."""
IMAGE_SVG = "image/svg+xml"
_GAP_PX, _EDGE_PX = 24.0, 16.0
_NO_CHARACTER = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_EM = 0.6
"""Width of a letter in its height: wider than sans-serif letters are on the average, so that text keeps its room."""


@dataclass(frozen=True)
class Part:
    """A part of a picture: what is drawn, in its own coordinates from its upper left corner, and its size in px."""

    width: float
    height: float
    drawn: str


def element(name: str, content: str = "", /, **attributes: str | float | None) -> str:
    """One element. Underscores in names of attributes are hyphens; None leaves one out; content is escaped already."""
    told = "".join(
        f" {key.rstrip('_').replace('_', '-')}={quoteattr(_readable(_value(value)))}"
        for key, value in attributes.items()
        if value is not None
    )
    return f"<{name}{told}>{content}</{name}>" if content else f"<{name}{told}/>"


def text(words: str, x: float, y: float, size: float = 14, /, **attributes: str | float | None) -> str:
    """Words with their base line at y."""
    given: dict[str, str | float | None] = {"fill": INK, "font_size": size}
    return element("text", _escaped(words), x=x, y=y, **(given | attributes))


def titled(words: str, *content: str) -> str:
    """A group that is told when it is pointed at."""
    return element("g", element("title", _escaped(words)) + "".join(content))


def _escaped(words: str) -> str:
    return escape(_readable(words))


def _readable(words: str) -> str:
    """The same words with a mark in the place of what no XML document may hold (XML 1.0, section 2.2, `Char`)."""
    return _NO_CHARACTER.sub("\ufffd", words)


def points(places: Iterable[Sequence[float]]) -> str:
    """Corners as the attribute ``points`` takes them."""
    return " ".join(f"{_value(x)},{_value(y)}" for x, y in places)


def width_of(words: str, size: float = 14) -> float:
    """Room that a line of text takes at most, px."""
    return len(words) * size * _EM


def shortened(words: str, room: float, size: float = 14) -> str:
    """Words cut so that they keep to a room, px."""
    most = max(int(room / (size * _EM)), 2)
    return words if len(words) <= most else words[: most - 1].rstrip(" ,") + "…"


def document(title: str, description: str, parts: Sequence[Part]) -> str:
    """A document of parts below each other. title, description: what it shows, for those who do not see it."""
    width = max(part.width for part in parts) + 2 * _EDGE_PX
    drawn, y = [], _EDGE_PX
    for part in parts:
        drawn.append(element("g", part.drawn, transform=f"translate({_value(_EDGE_PX)} {_value(y)})"))
        y += part.height + _GAP_PX
    height = y - _GAP_PX + _EDGE_PX
    about = element("title", _escaped(title), id="title") + element("desc", _escaped(description), id="desc")
    return (
        element(
            "svg",
            about + element("rect", width=width, height=height, fill=PAPER) + "".join(drawn),
            xmlns="http://www.w3.org/2000/svg",
            width=width,
            height=height,
            viewBox=f"0 0 {_value(width)} {_value(height)}",
            role="img",
            aria_labelledby="title desc",
            font_family=FONT,
        )
        + "\n"
    )


def heading(words: str, more: Sequence[str], width: float) -> Part:
    """A title with lines below it, broken so that they keep to the width."""
    lines = [line for one in more for line in broken(one, width, 14)]
    drawn = text(shortened(words, width, 20), 0, 20, 20, font_weight="bold")
    drawn += "".join(text(line, 0, 46 + LINE_PX * n, 14, fill=FAINT) for n, line in enumerate(lines))
    return Part(width, 28 + LINE_PX * len(lines), drawn)


def broken(words: str, room: float, size: float = 14) -> list[str]:
    """Words broken into lines that keep to a room, px."""
    lines: list[str] = []
    for word in words.split():
        if lines and width_of(f"{lines[-1]} {word}", size) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _value(value: str | float) -> str:
    return value if isinstance(value, str) else f"{round(value, 2):g}" if abs(value) < 1e5 else f"{value:.0f}"
