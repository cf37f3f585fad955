"""How the series of a plot look: solid, hatched or empty bars; lines and marks of their own; the key that says so."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from framing.drawing.paper import Box, Spot, Stroke
from framing.drawing.svg import Attributes, Canvas, text_width

SERIES_MOST = 3
_PITCH = 5.0  # of hatching
_SWATCH, _BETWEEN, _APART = 18.0, 6.0, 22.0
_SOLID: Attributes = {"fill": "currentColor", "stroke": "none"}
_EDGE: Attributes = {"class": "pl-edge", "fill": "none", "stroke": "currentColor", "stroke-width": 1.25}
_HATCH: Attributes = {"fill": "none", "stroke": "currentColor", "stroke-width": 1.25}
_DASHES = ("", "6 4", "1.5 3.5")


def draw_bar(canvas: Canvas, box: Box, place: int, tip: str = "") -> None:
    """A bar of the series at `place`; one of no height is a thin line, so that a 0 differs from nothing."""
    canvas.group({}, tip)
    if place == 0:
        canvas.rect(box, _SOLID)
    else:
        canvas.rect(box, _EDGE)
    if place == 1:
        canvas.group(_HATCH)
        canvas.strokes(_hatching(box))
        canvas.close()
    canvas.close()


def _hatching(box: Box) -> list[Stroke]:
    """Lines of 45 degrees through the box, on one raster for all bars of a plot."""
    found: list[Stroke] = []
    low, high = box.left + box.top, box.right + box.bottom  # of x + y
    for number in range(int(low // _PITCH) + 1, int(high // _PITCH) + 1):
        total = number * _PITCH
        a = Spot(max(box.left, total - box.bottom), min(box.bottom, total - box.left))
        b = Spot(min(box.right, total - box.top), max(box.top, total - box.right))
        if a.x < b.x:
            found.append(Stroke(a, b))
    return found


def draw_line(canvas: Canvas, strokes: Iterable[Stroke], place: int) -> None:
    """A line of the series at `place`."""
    look: dict[str, str | float] = {"fill": "none", "stroke": "currentColor", "stroke-width": 2}
    canvas.strokes(strokes, look | ({"stroke-dasharray": _DASHES[place]} if _DASHES[place] else {}))


def draw_mark(canvas: Canvas, spot: Spot, radius: float, place: int, tip: str = "") -> None:
    """A filled circle, an open square or a filled triangle."""
    canvas.group({}, tip)
    if place == 0:
        canvas.circle(spot, radius, _SOLID)
    elif place == 1:
        canvas.rect(Box(spot.x - radius, spot.y - radius, spot.x + radius, spot.y + radius), _EDGE)
    else:
        corners = (
            spot.moved(0, -radius * 1.3),
            spot.moved(radius * 1.2, radius),
            spot.moved(-radius * 1.2, radius),
        )
        canvas.polygon(corners, _SOLID)
    canvas.close()


def key_rows(names: Sequence[str], width: float, text: float) -> list[list[int]]:
    """Which series stand in which line of the key; none where there is one series only."""
    if len(names) < 2:
        return []
    rows: list[list[int]] = [[]]
    used = 0.0
    for place, name in enumerate(names):
        wide = _entry(name, text)
        if rows[-1] and used + wide > width:
            rows.append([])
            used = 0.0
        rows[-1].append(place)
        used += wide
    return rows


def _entry(name: str, text: float) -> float:
    return _SWATCH + _BETWEEN + text_width(name, text, mono=False) + _APART


def draw_key(
    canvas: Canvas,
    names: Sequence[str],
    rows: Sequence[Sequence[int]],
    text: float,
    line: float,
    *,
    lined: bool,
) -> None:
    """A swatch, of a bar or of a line, and the name of each series, from the left end of the top."""
    for row, places in enumerate(rows):
        x, y = 1.0, row * line + text * 0.6
        for place in places:
            canvas.group({"class": f"pl-{place}"})
            if lined:
                draw_line(canvas, [Stroke(Spot(x, y), Spot(x + _SWATCH, y))], place)
                draw_mark(canvas, Spot(x + _SWATCH / 2, y), 3.5, place)
            else:
                draw_bar(canvas, Box(x, y - 5.5, x + _SWATCH, y + 5.5), place)
            canvas.close()
            canvas.text(names[place], Spot(x + _SWATCH + _BETWEEN, y), text, "dw-text", anchor="start")
            x += _entry(names[place], text)
