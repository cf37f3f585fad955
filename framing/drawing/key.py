"""The key above the title strip: only the signs that the sheet shows."""

from __future__ import annotations

from framing.drawing.labels import TEXT
from framing.drawing.paper import Spot, Stroke, View, box_at
from framing.drawing.svg import Canvas, text_width
from framing.engine.placement import Item
from framing.engine.result import FloorResult

_SIGN = 7.0  # width of a sign in mm


def draw_key(canvas: Canvas, result: FloorResult, view: View, start: Spot) -> None:
    x = start.x
    for name, words in _entries(result, view):
        _draw_sign(canvas, name, Spot(x + _SIGN / 2, start.y))
        canvas.text(words, Spot(x + _SIGN + 1.0, start.y), TEXT, "dw-text", anchor="start")
        x += _SIGN + text_width(words, TEXT, mono=False) + 4.5


def _entries(result: FloorResult, view: View) -> list[tuple[str, str]]:
    items = {placed.item for placed in result.placed}
    detail = view.scale <= 64
    shown = (
        ("end", "printed end", bool(result.members)),
        ("dw-bridging", "bridging", bool(result.lines)),
        ("dw-block", "solid block", Item.SOLID_BLOCK in items),
        ("dw-ladder", "ladder block", Item.LADDER_BLOCK in items),
        ("hole", "hole", detail and any(m.holes_16 for m in result.members)),
        ("omitted", "hole left out", detail and any(m.omitted for m in result.members)),
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
    elif name == "care":
        canvas.open("dw-care")
        canvas.polygon((centre.moved(0, -1.6), centre.moved(1.7, 1.2), centre.moved(-1.7, 1.2)))
        canvas.close()
    else:
        _draw_joist_sign(canvas, name, centre, bar)


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
