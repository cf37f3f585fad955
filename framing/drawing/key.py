"""The key above the title strip: only the signs that the sheet shows."""

from __future__ import annotations

from collections.abc import Sequence

from framing.drawing.labels import TEXT
from framing.drawing.members import DETAIL_SCALE
from framing.drawing.paper import Spot, Stroke, View, box_at
from framing.drawing.point_loads import HIGH, load_triangle
from framing.drawing.svg import Canvas, text_width
from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult

ROW = 5.0  # height of a row
_SIGN = 7.0  # width of a sign in mm


def draw_key(canvas: Canvas, result: FloorResult, view: View, start: Spot, width: float) -> None:
    """The signs that occur, from `start` on in rows of that width."""
    for row, entries in enumerate(_rows(_entries(result, view.scale <= DETAIL_SCALE), width)):
        x, y = start.x, start.y + row * ROW
        for name, words in entries:
            _draw_sign(canvas, name, Spot(x + _SIGN / 2, y))
            canvas.text(words, Spot(x + _SIGN + 1.0, y), TEXT, "dw-text", anchor="start")
            x += _room(words)


def key_height(result: FloorResult, width: float) -> float:
    """Of the key at the largest scale, where most signs occur."""
    return ROW * max(len(_rows(_entries(result, detail=True), width)), 1)


def _room(words: str) -> float:
    return _SIGN + text_width(words, TEXT, mono=False) + 4.5


def _rows(entries: Sequence[tuple[str, str]], width: float) -> list[list[tuple[str, str]]]:
    rows: list[list[tuple[str, str]]] = []
    left = 0.0
    for entry in entries:
        room = _room(entry[1])
        if not rows or room > left:
            rows.append([])
            left = width
        rows[-1].append(entry)
        left -= room
    return rows


def _entries(result: FloorResult, detail: bool) -> list[tuple[str, str]]:
    items = {placed.item for placed in result.placed}
    shown = (
        ("end", "printed end", bool(result.members)),
        ("dw-flush", "flush beam", any(m.kind is MemberKind.BEAM for m in result.members)),
        ("dw-border", "bay border", len(result.bays) > 1),
        ("dw-bridging", "bridging", bool(result.lines)),
        ("dw-block", "solid block", Item.SOLID_BLOCK in items),
        ("dw-ladder", "ladder block", Item.LADDER_BLOCK in items),
        ("hole", "hole", detail and any(m.holes_16 for m in result.members)),
        ("omitted", "hole left out", detail and any(m.omitted for m in result.members)),
        ("load", "point load", bool(result.plan.point_loads)),
        ("fail", "fails a check", not result.passes),
        ("care", "see warning", any(w.x_16 is not None for w in result.warnings)),
    )
    return [(name, words) for name, words, here in shown if here]


def _draw_sign(canvas: Canvas, name: str, centre: Spot) -> None:
    bar = Stroke(centre.moved(-_SIGN / 2, 0), centre.moved(_SIGN / 2, 0))
    if name in ("dw-bridging", "dw-block", "dw-ladder"):
        short = Stroke(centre.moved(-2, 0), centre.moved(2, 0))
        canvas.open(name)
        canvas.strokes((bar if name == "dw-bridging" else short,))
        canvas.close()
    elif name == "dw-border":
        canvas.open(name)
        canvas.strokes((bar,))
        canvas.close()
    elif name == "dw-flush":
        _draw_flush_sign(canvas, bar)
    elif name == "load":
        canvas.open("dw-load")
        canvas.polygon(load_triangle(centre.moved(0, HIGH / 2)))
        canvas.close()
    elif name == "care":
        canvas.open("dw-care")
        canvas.polygon((centre.moved(0, -1.6), centre.moved(1.7, 1.2), centre.moved(-1.7, 1.2)))
        canvas.close()
    else:
        _draw_joist_sign(canvas, name, centre, bar)


def _draw_flush_sign(canvas: Canvas, bar: Stroke) -> None:
    bar = Stroke(bar.at(0.5), bar.at(bar.length - 0.8))
    ends = (Stroke(end.moved(0, -1.2), end.moved(0, 1.2)) for end in (bar.a, bar.b))
    canvas.open("dw-flush")
    canvas.strokes((bar.beside(-0.45), bar.beside(0.45), *ends))
    canvas.close()


def _draw_joist_sign(canvas: Canvas, name: str, centre: Spot, bar: Stroke) -> None:
    canvas.open("dw-joist")
    canvas.strokes((bar,))
    if name == "hole":
        canvas.rect(box_at(centre, 1.2, 1.2))
    elif name == "omitted":
        spots = ((-0.6, -0.6, 0.6, 0.6), (-0.6, 0.6, 0.6, -0.6))
        canvas.strokes(Stroke(centre.moved(a, b), centre.moved(c, d)) for a, b, c, d in spots)
    elif name == "fail":
        canvas.strokes(
            Stroke(centre.moved(off - 0.7, 0.7), centre.moved(off + 0.7, -0.7))
            for off in (-2.4, -1.2, 0.0, 1.2, 2.4)
        )
    canvas.close()
    if name == "end":
        a = bar.a
        corners = (a.moved(0, -0.65), a.moved(0, 0.65), a.moved(1.5, 0))
        canvas.polygon(corners, {"class": "dw-end", "fill": "currentColor", "stroke": "none"})
