"""A member as a beam: loads, supports and spans, then moment, shear and deflection under each other.

One length scale for all of it, so that a place on one curve stands under the same place of the member. Text
keeps its place at any size: a page chooses the size by the width it is shown at.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from framing.drawing.beam_loads import Drawn, drawn_loads, significant
from framing.drawing.paper import Box, Spot, Stroke
from framing.drawing.svg import CAP_HEIGHT, Attributes, Canvas, number, text_width
from framing.drawing.svg import Value as Attribute
from framing.engine.floor import Units
from framing.engine.result import Curve, MemberSheet, Value
from framing.engine.units import SIXTEENTHS_PER_INCH, format_length

_WIDTH, _SIDE = 120.0, 9.0
_TEXT = 2.7  # in the drawing's own units; a page sets it by CSS
_TEXT_MOST = 4.2  # what CSS sets on the narrowest page
_LOAD_LINE = 4.2  # of a load's row: where its line or arrow begins
_LOAD_ROW, _SPANS, _FOOT = 8.0, 14.6, 18.0  # one load; from the member to the spans' line, to the curves
_TITLE, _HEAD, _PLOT, _TAIL = 3.0, 9.5, 13.0, 5.5  # a curve: title's place, room above, curve, room below
_NEAR_EDGE = 26.0  # a label this near to the edge is written inwards
_SLIGHT = 0.005  # an extreme under this share of the other is not labelled
_THIN: Attributes = {"class": "dw-dim", "fill": "none", "stroke": "currentColor", "stroke-width": 0.13}
_LOAD: dict[str, Attribute] = {"class": "dw-load", "fill": "none", "stroke": "currentColor"}
_LINE: Attributes = {"class": "dw-curve", "fill": "none", "stroke": "currentColor", "stroke-width": 0.35}
_BEAM: Attributes = {"class": "dw-beam-line", "fill": "none", "stroke": "currentColor", "stroke-width": 0.9}
_AREA: Attributes = {"class": "dw-area", "fill": "currentColor", "fill-opacity": 0.12, "stroke": "none"}
_SOLID: Attributes = {"class": "dw-end", "fill": "currentColor", "stroke": "none"}
_NOISE = 1e-9
_DOWNWARD = "Deflection"  # drawn as the member moves


@dataclass(frozen=True, slots=True)
class Extreme:
    """The largest or smallest value of a curve and where it stands, in inches from the low end."""

    value: float
    at_in: float


def extremes(curve: Curve) -> tuple[Extreme, Extreme]:
    """The largest and the smallest value of a curve, the first place of equal ones.

    What is nothing beside the other but for rounding is 0.
    """
    high = max(curve.points, key=lambda point: (point[1], -point[0]))
    low = min(curve.points, key=lambda point: (point[2], point[0]))
    noise = _NOISE * max(abs(high[1]), abs(low[2]))
    values = (value if abs(value) > noise else 0.0 for value in (high[1], low[2]))
    return Extreme(next(values), high[0]), Extreme(next(values), low[0])


def place_words(at_in: float, units: Units) -> str:
    """A place along the member as a length, to the nearest sixteenth."""
    return format_length(round(at_in * SIXTEENTHS_PER_INCH), units)


def member_svg(sheet: MemberSheet, units: Units = "imperial") -> str:
    """The diagram of one case; user units are millimetres at 120 mm width.

    Loads are drawn where `beam_loads` reads their place; the sheet's tables hold every number of the diagram.
    """
    canvas = Canvas()
    loads = drawn_loads(sheet.loads, sheet.length_in)
    beam = 3.0 + _LOAD_ROW * max(len(loads), 1)
    top = beam + _FOOT
    height = top + len(sheet.curves) * (_HEAD + _PLOT + _TAIL)
    _draw_guides(canvas, sheet, beam + _SPANS, height - _TAIL)
    rows = [(load, beam - _LOAD_ROW * row) for row, load in enumerate(reversed(loads), 1)]
    for load, row_top in rows:
        labels = [_label_box(sheet, other, place) for other, place in rows if place > row_top]
        _draw_load(canvas, sheet, load, row_top, beam, labels)
    _draw_member(canvas, sheet, beam)
    _draw_spans(canvas, sheet, beam, units)
    for index, curve in enumerate(sheet.curves):
        _draw_curve(canvas, sheet, curve, top + index * (_HEAD + _PLOT + _TAIL), units)
    title = f"{sheet.reference}: {sheet.check.title}"
    return canvas.finish(_WIDTH, height, title, " ".join(_sentences(sheet, units)), "dw-member")


def reactions_of(sheet: MemberSheet, index: int) -> tuple[Value, ...]:
    """What the sheet says of the reaction of one support: dead, live, both, and factored where the method factors."""
    each = len(sheet.reactions) // len(sheet.supports)
    return sheet.reactions[index * each : (index + 1) * each]


def _sentences(sheet: MemberSheet, units: Units) -> Iterator[str]:
    for number_, (at_in, words) in enumerate(sheet.supports, 1):
        yield f"Support {number_}, {words}, at {place_words(at_in, units)}."
    for curve in sheet.curves:
        for word, extreme in zip(("Largest", "smallest"), extremes(curve), strict=True):
            place = place_words(extreme.at_in, units)
            yield f"{word} {curve.name.lower()} {significant(extreme.value)} {curve.unit} at {place}."


def _x(sheet: MemberSheet, at_in: float) -> float:
    return _SIDE + at_in / sheet.length_in * (_WIDTH - 2 * _SIDE)


def _inwards(x: float) -> str:
    return "start" if x < _NEAR_EDGE else "end" if x > _WIDTH - _NEAR_EDGE else "middle"


def _say(
    canvas: Canvas, text: str, spot: Spot, *, drop: float = 0.5, css: str = "dw-text", anchor: str = ""
) -> None:
    """Text that stands on its place (`drop` 0), hangs under it (1) or is centred on it; inwards near an edge."""
    more: dict[str, Attribute] = {"x": spot.x, "y": spot.y, "dy": f"{number(drop * CAP_HEIGHT)}em"}
    canvas.text(text, spot, _TEXT, css, mono=css != "dw-title", anchor=anchor or _inwards(spot.x), more=more)


def _draw_guides(canvas: Canvas, sheet: MemberSheet, top: float, bottom: float) -> None:
    """A hairline from each support through all curves."""
    canvas.group({**_THIN, "stroke-opacity": 0.6, "stroke-dasharray": "0.6 0.9"})
    xs = [_x(sheet, at_in) for at_in, _ in sheet.supports]
    canvas.strokes(tuple(Stroke(Spot(x, top), Spot(x, bottom)) for x in xs))
    canvas.close()


def _label_box(sheet: MemberSheet, load: Drawn, top: float) -> Box:
    """Where a load's words stand at the largest text that a page chooses."""
    middle, wide = _x(sheet, (load.low_in + load.high_in) / 2), text_width(load.words, _TEXT_MOST, mono=True)
    left = {"start": middle, "middle": middle - wide / 2, "end": middle - wide}[_inwards(middle)]
    foot = top + _LOAD_LINE - 0.6
    return Box(left, foot - _TEXT_MOST * CAP_HEIGHT - 0.8, left + wide, foot)


def _draw_load(
    canvas: Canvas, sheet: MemberSheet, load: Drawn, top: float, beam: float, labels: Sequence[Box]
) -> None:
    """A point load as one long arrow, broken at `labels`; a line load as a row of short ones under its line."""
    low, high = _x(sheet, load.low_in), _x(sheet, load.high_in)
    foot = beam - 0.6 if load.is_point else top + _LOAD_ROW - 1.0
    line = top + _LOAD_LINE
    count = 0 if load.is_point else max(2, round((high - low) / 7))
    xs = [low + (high - low) * i / count for i in range(count + 1)] if count else [low]
    canvas.group({"data-load": load.words})
    canvas.group(_LOAD | {"stroke-width": 0.4 if load.is_point else 0.2})
    if not load.is_point:
        canvas.strokes((Stroke(Spot(low, line), Spot(high, line)),))
    canvas.strokes(stroke for x in xs for stroke in _broken(x, line, foot, labels))
    canvas.close()
    for x in xs:
        canvas.polygon((Spot(x, foot), Spot(x - 0.6, foot - 1.5), Spot(x + 0.6, foot - 1.5)), _SOLID)
    _say(canvas, load.words, Spot((low + high) / 2, line - 1.0), drop=0.0)
    canvas.close()


def _broken(x: float, top: float, foot: float, labels: Sequence[Box]) -> Iterator[Stroke]:
    """An upright line from `top` down to `foot` without what lies under a label."""
    for box in sorted(labels, key=lambda box: box.top):
        if box.left < x < box.right and top < box.top and box.bottom < foot:
            yield Stroke(Spot(x, top), Spot(x, box.top))
            top = box.bottom
    yield Stroke(Spot(x, top), Spot(x, foot))


def _draw_member(canvas: Canvas, sheet: MemberSheet, beam: float) -> None:
    canvas.group(_BEAM)
    canvas.strokes((Stroke(Spot(_x(sheet, 0), beam), Spot(_x(sheet, sheet.length_in), beam)),))
    canvas.close()
    for index, (at_in, words) in enumerate(sheet.supports):
        x = _x(sheet, at_in)
        canvas.group({"data-support": str(index + 1)}, words)
        canvas.polygon((Spot(x, beam + 0.5), Spot(x - 1.5, beam + 3.1), Spot(x + 1.5, beam + 3.1)), _SOLID)
        shares = reactions_of(sheet, index)
        found = f"{shares[-1].symbol} {significant(shares[-1].value)} {shares[-1].unit}" if shares else ""
        _say(canvas, found or str(index + 1), Spot(x, beam + 4.4), drop=1.0)
        canvas.close()


def _draw_spans(canvas: Canvas, sheet: MemberSheet, beam: float, units: Units) -> None:
    line = beam + _SPANS
    for (low_in, _), (high_in, _) in pairwise(sheet.supports):
        low, high = _x(sheet, low_in), _x(sheet, high_in)
        canvas.group(_THIN)
        canvas.strokes((Stroke(Spot(low, line), Spot(high, line)),))
        for x in (low, high):
            canvas.strokes((Stroke(Spot(x - 0.7, line + 0.7), Spot(x + 0.7, line - 0.7)),))
        canvas.close()
        middle = Spot((low + high) / 2, line - 0.9)
        _say(
            canvas, place_words(high_in - low_in, units), middle, drop=0.0, css="dw-dim-text", anchor="middle"
        )


def _draw_curve(canvas: Canvas, sheet: MemberSheet, curve: Curve, top: float, units: Units) -> None:
    """Title, ground line, the area between the envelope and the ground line, both extremes with their places."""
    high, low = extremes(curve)
    largest, smallest = max(high.value, 0.0), min(low.value, 0.0)
    unit = _PLOT / ((largest - smallest) or 1.0)
    down = curve.name == _DOWNWARD
    ground = top + _HEAD + (-smallest if down else largest) * unit
    way = unit if down else -unit
    upper = [Spot(_x(sheet, x), ground + way * value) for x, value, _ in curve.points]
    lower = [Spot(_x(sheet, x), ground + way * value) for x, _, value in curve.points]
    canvas.group({"data-curve": curve.name})
    _say(
        canvas,
        f"{curve.name}, {curve.unit}",
        Spot(_SIDE, top + _TITLE),
        drop=0.0,
        css="dw-title",
        anchor="start",
    )
    for spots, worse in ((upper, max if down else min), (lower, min if down else max)):
        edge = [Spot(spot.x, worse(spot.y, ground)) for spot in spots]
        canvas.polygon((Spot(edge[0].x, ground), *edge, Spot(edge[-1].x, ground)), _AREA)
        canvas.polyline(spots, _LINE)
    canvas.group(_THIN)
    canvas.strokes((Stroke(Spot(_x(sheet, 0), ground), Spot(_x(sheet, sheet.length_in), ground)),))
    canvas.close()
    for extreme, other in ((high, low), (low, high)):
        if abs(extreme.value) > _SLIGHT * abs(other.value):
            spot = Spot(_x(sheet, extreme.at_in), ground + way * extreme.value)
            _label(canvas, extreme, spot, below=spot.y > ground, units=units)
    canvas.close()


def _label(canvas: Canvas, extreme: Extreme, spot: Spot, *, below: bool, units: Units) -> None:
    canvas.circle(spot, 0.7, _SOLID)
    words = f"{significant(extreme.value)} at {place_words(extreme.at_in, units)}"
    _say(canvas, words, spot.moved(0, 1.5 if below else -1.3), drop=1.0 if below else 0.0)
