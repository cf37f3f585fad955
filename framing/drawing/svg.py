"""SVG text: numbers, escaping, and the look of each drawn class as presentation attributes.

Everything is `currentColor` on no ground: it prints black on white and follows a dark page; a page may
colour the `dw-` classes. No style attributes or elements, no scripts, nothing from outside.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping
from math import cos, radians, sin
from xml.sax.saxutils import escape, quoteattr

from framing.drawing.paper import Box, Spot, Stroke

SANS = "'Atkinson Hyperlegible Next', sans-serif"
MONO = "'Atkinson Hyperlegible Mono', monospace"
CAP_HEIGHT = 0.668  # of the font size, both families
MONO_ADVANCE = 0.632
TIMES = "\u00d7"
SANS_ADVANCE = 0.57  # a little over the mean of running text

Value = str | float
Attributes = Mapping[str, Value]


def _line(width: float, **more: Value) -> dict[str, Value]:
    values: dict[str, Value] = {"fill": "none", "stroke": "currentColor", "stroke-width": width}
    return values | {name.replace("_", "-"): value for name, value in more.items()}


_SOLID: dict[str, Value] = {"fill": "currentColor", "stroke": "none"}
LOOKS: dict[str, dict[str, Value]] = {
    "dw-sheet": {"fill": "none", "stroke": "none"},
    "dw-frame": _line(0.25),
    "dw-joist": _line(0.22),
    "dw-trimmer": _line(0.32),
    "dw-header": _line(0.5),
    "dw-beam": _line(0.5, stroke_dasharray="5 1 0.6 1"),
    "dw-flush": _line(0.45),
    "dw-border": _line(0.18, stroke_dasharray="0.5 0.9"),
    "dw-rim": _line(0.22),
    "dw-outline": _line(0.4, stroke_linejoin="miter"),
    "dw-wall": _line(0.18),
    "dw-screen": _line(0.3, stroke_dasharray="0.01 1", stroke_linecap="round", stroke_opacity=0.7),
    "dw-opening": _line(0.18),
    "dw-bridging": _line(0.22, stroke_dasharray="3.2 1"),
    "dw-block": _line(0.7),
    "dw-ladder": _line(0.5),
    "dw-hole": _line(0.15),
    "dw-omitted": _line(0.15),
    "dw-run": _line(0.13),
    "dw-span": _line(0.13),
    "dw-dim": _line(0.13),
    "dw-mark": _SOLID,
    "dw-text": _SOLID,
    "dw-title": _SOLID,
    "dw-end": _SOLID,
    "dw-load": _SOLID,
    "dw-fail": _line(0.22),
    "dw-care": _line(0.3),
    "dw-spot": {"fill": "none", "stroke": "none"},
    "dw-highlight": _line(1.8, stroke_opacity=0.28),
    "dw-line": _line(0.2),
}


def number(value: float) -> str:
    """A coordinate in millimetres with at most three decimals, the same for equal input."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def attributes(values: Attributes) -> str:
    return "".join(
        f" {name}={quoteattr(value if isinstance(value, str) else number(value))}"
        for name, value in values.items()
    )


def look(css: str) -> str:
    """Class and black-and-white fallback of a drawn class, as attribute text."""
    return attributes({"class": css} | LOOKS[css])


def path_of(strokes: Iterable[Stroke]) -> str:
    """The `d` of separate straight strokes; consecutive strokes that join go on without a new start."""
    parts: list[str] = []
    pen: Spot | None = None
    for stroke in strokes:
        if stroke.a != pen:
            parts.append(f"M{number(stroke.a.x)} {number(stroke.a.y)}")
        parts.append(f"L{number(stroke.b.x)} {number(stroke.b.y)}")
        pen = stroke.b
    return "".join(parts)


def points_of(spots: Iterable[Spot]) -> str:
    return " ".join(f"{number(s.x)},{number(s.y)}" for s in spots)


def text_width(text: str, size: float, mono: bool) -> float:
    """Width in mm: exact for the mono face, a safe estimate for the other."""
    return len(text) * size * (MONO_ADVANCE if mono else SANS_ADVANCE)


class Canvas:
    """Collects elements in drawing order."""

    def __init__(self) -> None:
        self._parts: list[str] = []

    def raw(self, text: str) -> None:
        self._parts.append(text)

    def open(self, css: str, more: Attributes | None = None) -> None:
        """Start a group with the look of `css`; children inherit it."""
        self.raw(f"<g{look(css)}{attributes(more or {})}>")

    def group(self, more: Attributes, title: str = "") -> None:
        """Start a group with the given attributes and a tooltip."""
        self.raw(f"<g{attributes(more)}>")
        if title:
            self.raw(f"<title>{escape(title)}</title>")

    def close(self) -> None:
        self.raw("</g>")

    def strokes(self, strokes: Iterable[Stroke], more: Attributes | None = None) -> None:
        d = path_of(strokes)
        if d:
            self.raw(f'<path d="{d}"{attributes(more or {})}/>')

    def polygon(self, spots: Iterable[Spot], more: Attributes | None = None) -> None:
        self.raw(f'<polygon points="{points_of(spots)}"{attributes(more or {})}/>')

    def polyline(self, spots: Iterable[Spot], more: Attributes | None = None) -> None:
        self.raw(f'<polyline points="{points_of(spots)}"{attributes(more or {})}/>')

    def circle(self, spot: Spot, radius: float, more: Attributes | None = None) -> None:
        shape = {"cx": spot.x, "cy": spot.y, "r": radius}
        self.raw(f"<circle{attributes(shape | dict(more or {}))}/>")

    def rect(self, box: Box, more: Attributes | None = None) -> None:
        shape = {"x": box.left, "y": box.top, "width": box.width, "height": box.height}
        self.raw(f"<rect{attributes(shape | dict(more or {}))}/>")

    def text(
        self,
        text: str,
        centre: Spot,
        size: float,
        css: str,
        *,
        mono: bool = False,
        turned: bool = False,
        anchor: str = "middle",
        bold: bool = False,
        angle: float = 0.0,
        more: Attributes | None = None,
    ) -> None:
        """Text whose capitals are centred on `centre`; turned text reads upwards, other text at `angle` degrees
        clockwise.

        Anchor "start" or "end" moves the text along its own direction.
        """
        shift = size * CAP_HEIGHT / 2
        angle = -90.0 if turned else angle
        lean = radians(angle)
        x, y = centre.x - shift * sin(lean), centre.y + shift * cos(lean)
        values: dict[str, Value] = (
            {"class": css}
            | LOOKS["dw-text"]
            | {
                "x": x,
                "y": y,
                "font-size": size,
                "font-family": MONO if mono else SANS,
                "text-anchor": anchor,
            }
        )
        if bold:
            values["font-weight"] = "600"
        if angle:
            values["transform"] = f"rotate({number(angle)} {number(x)} {number(y)})"
        self.raw(f"<text{attributes(values | dict(more or {}))}>{escape(text)}</text>")

    def finish(self, width: float, height: float, title: str, desc: str, css: str) -> str:
        """The whole document; width and height in mm are its viewBox and its printed size."""
        head = {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": css,
            "role": "img",
            "viewBox": f"0 0 {number(width)} {number(height)}",
            "width": f"{number(width)}mm",
            "height": f"{number(height)}mm",
            "font-family": SANS,
        }
        body = "\n".join(self._parts)
        words = f"<title>{escape(title)}</title>\n<desc>{escape(desc)}</desc>"
        return f"<svg{attributes(head)}>\n{words}\n{body}\n</svg>\n"


def svg_address(svg: str) -> str:
    """A drawing as an address that a paper may load."""
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()
