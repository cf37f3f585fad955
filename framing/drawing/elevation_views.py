"""The strokes and texts of one joist elevation."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from framing.drawing.elevation_rows import LETTER_ROW, LINE, TICK, Elevation, letter
from framing.drawing.labels import TEXT
from framing.drawing.paper import Box, Spot, Stroke, box_at
from framing.drawing.sheet import KEY, STRIP, SheetInfo
from framing.drawing.svg import Attributes, Canvas, text_width
from framing.engine.units import format_length

_DASHED: Attributes = {
    "class": "dw-omitted",
    "fill": "none",
    "stroke": "currentColor",
    "stroke-dasharray": "0.7 0.5",
}
_END: Attributes = {"class": "dw-end", "fill": "currentColor", "stroke": "none"}


def draw_row(canvas: Canvas, row: Elevation, top: float) -> None:
    canvas.group({"data-mark": row.line.mark})
    _draw_head(canvas, row, top + 2.0)
    upper = top + row.top
    lower = upper + row.depth
    _draw_web(canvas, row, upper, lower)
    _draw_holes(canvas, row, upper, lower)
    bottom = _draw_running(canvas, row, lower)
    _draw_length(canvas, row, lower, bottom + 4.4)
    for index, words in enumerate(row.words):
        spot = Spot(row.left, lower + row.foot + 2.0 + LINE * index)
        canvas.text(words, spot, TEXT, "dw-text", anchor="start")
    canvas.close()


def _draw_head(canvas: Canvas, row: Elevation, middle: float) -> None:
    mark, size = row.line.mark, 4.0
    canvas.text(mark, Spot(row.left, middle), size, "dw-mark", mono=True, anchor="start", bold=True)
    x = row.left + text_width(mark, size, mono=True) + 3.0
    canvas.text(row.head, Spot(x, middle), TEXT, "dw-text", anchor="start")


def _draw_web(canvas: Canvas, row: Elevation, upper: float, lower: float) -> None:
    """Flanges and lips from break to break, cut ends, the breaks, and the triangle of the printed end (R9)."""
    lip = row.profile.lip_in * 25.4 / row.stretch.scale
    canvas.open("dw-trimmer", {"data-part": "flange"})
    canvas.strokes(Stroke(Spot(a, y), Spot(b, y)) for y in (upper, lower) for a, b in row.stretch.parts)
    ends = (row.stretch.xs[0], row.stretch.xs[-1])
    canvas.strokes(Stroke(Spot(x, upper), Spot(x, lower)) for x in ends)
    canvas.close()
    canvas.open("dw-run", {"data-part": "lip"})
    lips = (upper + lip, lower - lip)
    canvas.strokes(Stroke(Spot(a, y), Spot(b, y)) for y in lips for a, b in row.stretch.parts)
    for pair in row.stretch.breaks:
        for x in pair:
            draw_break(canvas, x, upper - 0.8, lower + 0.8)
    canvas.close()
    middle, x = (upper + lower) / 2, row.stretch.xs[0]
    canvas.polygon((Spot(x, middle - 1.1), Spot(x, middle + 1.1), Spot(x + 2.2, middle)), _END)


def draw_break(canvas: Canvas, x: float, upper: float, lower: float) -> None:
    """An upright break line with one zigzag in its middle."""
    middle = (upper + lower) / 2
    spots = (
        Spot(x, upper),
        Spot(x, middle - 1.0),
        Spot(x - 0.5, middle - 0.4),
        Spot(x + 0.5, middle + 0.4),
        Spot(x, middle + 1.0),
        Spot(x, lower),
    )
    canvas.strokes((Stroke(a, b) for a, b in pairwise(spots)), {"data-part": "break"})


def _draw_holes(canvas: Canvas, row: Elevation, upper: float, lower: float) -> None:
    wide, tall = (
        size * 25.4 / row.stretch.scale for size in (row.profile.hole_length_in, row.profile.hole_depth_in)
    )
    middle = (upper + lower) / 2
    canvas.open("dw-joist")
    for place in row.line.holes_16:
        box = box_at(Spot(row.stretch.x(place), middle), wide, tall)
        canvas.rect(box, {"rx": tall / 2, "data-hole-16": str(place)})
    canvas.close()
    for index, (hole, letters) in enumerate(zip(row.left_out, row.letter_rows, strict=True)):
        x = row.stretch.x(hole.place_16)
        box = box_at(Spot(x, middle), wide, tall)
        kept = Box(max(box.left, row.stretch.xs[0]), box.top, min(box.right, row.stretch.xs[-1]), box.bottom)
        more: Attributes = {"rx": tall / 2, "stroke-width": 0.22, "data-omitted-16": str(hole.place_16)}
        canvas.rect(kept, {**_DASHED, **more})
        canvas.text(letter(index), Spot(x, upper - 1.9 - LETTER_ROW * letters), TEXT, "dw-text", mono=True)


def _draw_running(canvas: Canvas, row: Elevation, lower: float) -> float:
    """Running lengths from the printed end, one at each hole; the y under them."""
    if not row.line.holes_16:
        return lower + 1.5
    line = lower + TICK
    start, last = row.stretch.xs[0], row.stretch.x(row.line.holes_16[-1])
    canvas.open("dw-dim", {"data-chain": "holes"})
    canvas.strokes((Stroke(Spot(start, line), Spot(last, line)),))
    canvas.circle(Spot(start, line), 0.6)
    for place in row.line.holes_16:
        x = row.stretch.x(place)
        canvas.strokes((Stroke(Spot(x, lower + 0.6), Spot(x, line)),))
        wings = (Spot(x, line), Spot(x - 1.6, line - 0.45), Spot(x - 1.6, line + 0.45))
        canvas.polygon(wings, _END)
        spot = Spot(x, line + 0.9 + row.tall / 2)
        words = format_length(place, row.units)
        more: Attributes = {"data-at-16": str(place)}
        canvas.text(words, spot, TEXT, "dw-dim-text", mono=True, turned=row.turned, more=more)
    canvas.close()
    return line + 0.9 + row.tall


def _draw_length(canvas: Canvas, row: Elevation, lower: float, line: float) -> None:
    """The cut length under all, broken in the middle for its text."""
    a, b = row.stretch.xs[0], row.stretch.xs[-1]
    words = format_length(row.line.length_16, row.units)
    half, middle = text_width(words, TEXT, mono=True) / 2 + 1.0, (a + b) / 2
    canvas.open("dw-dim", {"data-chain": "length"})
    for x in (a, b):
        canvas.strokes((Stroke(Spot(x - 0.7, line + 0.7), Spot(x + 0.7, line - 0.7)),))
        canvas.strokes((Stroke(Spot(x, lower + 0.6 if x == b else line - 1.1), Spot(x, line + 1.1)),))
    if middle - half > a:
        canvas.strokes(
            (
                Stroke(Spot(a, line), Spot(middle - half, line)),
                Stroke(Spot(middle + half, line), Spot(b, line)),
            ),
            {"data-cut-16": str(row.line.length_16)},
        )
        canvas.text(words, Spot(middle, line), TEXT, "dw-dim-text", mono=True)
    else:
        canvas.strokes((Stroke(Spot(a, line), Spot(b, line)),), {"data-cut-16": str(row.line.length_16)})
        canvas.text(words, Spot(b + 1.6, line), TEXT, "dw-dim-text", mono=True, anchor="start")
    canvas.close()


def draw_key(canvas: Canvas, rows: Sequence[Elevation], info: SheetInfo) -> None:
    """What the signs mean; lengths run from the printed end."""
    middle = info.paper.height - STRIP - 1.5 - KEY / 2
    canvas.polygon((Spot(6, middle - 1.1), Spot(6, middle + 1.1), Spot(8.2, middle)), _END)
    words = "printed end; holes are measured from it"
    canvas.text(words, Spot(10, middle), TEXT, "dw-text", anchor="start")
    x = 10 + text_width(words, TEXT, mono=False) + 8
    if any(row.left_out for row in rows):
        canvas.rect(box_at(Spot(x, middle), 4.2, 1.6), {**_DASHED, "rx": 0.8, "stroke-width": 0.22})
        canvas.text("hole left out", Spot(x + 4, middle), TEXT, "dw-text", anchor="start")
        x += 4 + text_width("hole left out", TEXT, mono=False) + 8
    if any(row.stretch.breaks for row in rows):
        canvas.open("dw-run")
        for off in (-0.9, 0.9):
            draw_break(canvas, x + off, middle - 1.9, middle + 1.9)
        canvas.close()
        canvas.text("not drawn to length here", Spot(x + 4, middle), TEXT, "dw-text", anchor="start")
