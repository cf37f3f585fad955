"""Reads a drawing back: texts with their boxes, strokes by class, lengths that strings claim."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, radians, sin
from xml.etree import ElementTree as ET

from framing.drawing.paper import Box, Spot, Stroke, box_around
from framing.drawing.svg import CAP_HEIGHT, text_width

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class Written:
    """A text on the sheet, the box around its capitals, and their corners: text may run askew."""

    text: str
    css: str
    size: float
    box: Box
    corners: tuple[Spot, ...]

    def meets(self, other: Written) -> bool:
        """Whether two texts overlap: no side of either has the other wholly on its far side."""
        return self.box.meets(other.box) and not (
            _parted(self.corners, other.corners) or _parted(other.corners, self.corners)
        )


def _parted(ring: tuple[Spot, ...], other: tuple[Spot, ...]) -> bool:
    for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
        sides = [(b.x - a.x) * (spot.y - a.y) - (b.y - a.y) * (spot.x - a.x) for spot in other]
        if all(side <= 0 for side in sides):
            return True
    return False


def root_of(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own output


def texts(svg: str) -> list[Written]:
    return [_written(node) for node in root_of(svg).iter(f"{SVG}text")]


def _written(node: ET.Element) -> Written:
    x, y, size = (float(node.attrib[name]) for name in ("x", "y", "font-size"))
    text = node.text or ""
    turn = re.match(r"rotate\((\S+)", node.attrib.get("transform", ""))
    angle = float(turn[1]) if turn else 0.0
    drop = float(node.attrib.get("dy", "0em").removesuffix("em")) * size
    width = text_width(text, size, "Mono" in node.attrib["font-family"])
    before = {"start": 0.0, "middle": width / 2, "end": width}[node.attrib["text-anchor"]]
    low, high = drop - size * CAP_HEIGHT, drop
    own = ((-before, low), (width - before, low), (width - before, high), (-before, high))
    lean = radians(angle)
    corners = tuple(
        Spot(x + along * cos(lean) - down * sin(lean), y + along * sin(lean) + down * cos(lean))
        for along, down in own
    )
    return Written(text, node.attrib["class"], size, box_around(corners), corners)


def strokes_of(node: ET.Element) -> Iterator[Stroke]:
    pen: Spot | None = None
    for command, x, y in re.findall(r"([ML])(-?[\d.]+) (-?[\d.]+)", node.attrib["d"]):
        here = Spot(float(x), float(y))
        if command == "L" and pen is not None:
            yield Stroke(pen, here)
        pen = here


def strokes_in(svg: str, css: str) -> list[Stroke]:
    """All strokes of groups with that class."""
    return [
        stroke
        for group in root_of(svg).iter(f"{SVG}g")
        if group.attrib.get("class") == css
        for path in group.iter(f"{SVG}path")
        for stroke in strokes_of(path)
    ]


def measured(svg: str) -> list[tuple[int, float]]:
    """Claimed length in sixteenths and drawn length in mm of every part of every string."""
    return [
        (int(path.attrib["data-length-16"]), sum(stroke.length for stroke in strokes_of(path)))
        for path in root_of(svg).iter(f"{SVG}path")
        if "data-length-16" in path.attrib
    ]


def ids(svg: str) -> list[str]:
    return [node.attrib["data-id"] for node in root_of(svg).iter() if "data-id" in node.attrib]
