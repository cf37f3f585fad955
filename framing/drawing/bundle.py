"""A bundle from the side: longest piece at the bottom, lift points at 1/5 from the ends (R34, R36)."""

from __future__ import annotations

from framing.drawing.labels import TEXT
from framing.drawing.paper import Box, Spot, Stroke
from framing.drawing.svg import Canvas, text_width
from framing.engine.floor import Units
from framing.engine.result import Bundle, BundlePiece
from framing.engine.units import format_length

_WIDTH, _LEFT, _RIGHT, _TOP, _ROW, _FOOT = 180.0, 34.0, 30.0, 20.0, 3.6, 13.0
_LIFT_SHARE = 5


def bundle_svg(bundle: Bundle, units: Units = "imperial") -> str:
    """Side view of one bundle, longest piece at the bottom; user units are millimetres at 180 mm width."""
    canvas = Canvas()
    rows = sorted(
        bundle.pieces, key=lambda piece: (piece.length_16, -piece.sequence, piece.floor, piece.copy)
    )
    bottom = _TOP + _ROW * len(rows)
    factor = (_WIDTH - _LEFT - _RIGHT) / bundle.length_16
    _draw_pieces(canvas, rows, factor, units)
    _draw_lift(canvas, bundle.length_16, factor, bottom, units)
    title = f"Bundle {bundle.number}: {len(bundle.pieces)} pieces of {bundle.profile}"
    lift = format_length(bundle.length_16 // _LIFT_SHARE, units)
    desc = (
        f"Longest piece {format_length(bundle.length_16, units)}. Lift at two points, {lift} from each end."
    )
    return canvas.finish(_WIDTH, bottom + _FOOT, title, desc, "dw-bundle")


def _draw_pieces(canvas: Canvas, rows: list[BundlePiece], factor: float, units: Units) -> None:
    """Bars from the printed end; mark and length once per run of equal pieces."""
    before: tuple[str, int] | None = None
    for index, piece in enumerate(rows):
        top = _TOP + _ROW * index
        bar = Box(_LEFT, top + 0.3, _LEFT + piece.length_16 * factor, top + _ROW - 0.3)
        canvas.group(
            {"data-id": piece.piece, "data-mark": piece.mark},
            f"{piece.mark} {format_length(piece.length_16, units)}",
        )
        canvas.open("dw-joist")
        canvas.rect(bar)
        canvas.close()
        corner = Spot(bar.left, bar.top)
        canvas.polygon(
            (corner, Spot(bar.left, bar.bottom), corner.moved(1.8, bar.height / 2)),
            {"class": "dw-end", "fill": "currentColor", "stroke": "none"},
        )
        canvas.close()
        here = (piece.mark, piece.length_16)
        if here != before:
            count = sum((other.mark, other.length_16) == here for other in rows)
            words = f"{piece.mark} × {count}" if count > 1 else piece.mark  # noqa: RUF001
            canvas.text(words, Spot(_LEFT - 2, top + _ROW / 2), TEXT, "dw-mark", mono=True, anchor="end")
            canvas.text(
                format_length(piece.length_16, units),
                Spot(_WIDTH - _RIGHT + 2, top + _ROW / 2),
                TEXT,
                "dw-text",
                mono=True,
                anchor="start",
            )
        before = here


def _draw_lift(canvas: Canvas, length_16: int, factor: float, bottom: float, units: Units) -> None:
    """Slings at the two lift points, and the distances between ends and points under the bundle."""
    lift_16 = length_16 // _LIFT_SHARE
    stops_16 = (0, lift_16, length_16 - lift_16, length_16)
    xs = [_LEFT + stop * factor for stop in stops_16]
    hook = Spot((xs[1] + xs[2]) / 2, 4.0)
    canvas.open("dw-line")
    for x in xs[1:3]:
        canvas.strokes((Stroke(hook, Spot(x, _TOP)), Stroke(Spot(x, _TOP), Spot(x, bottom))))
    canvas.circle(hook.moved(0, -1.2), 1.2)
    canvas.close()
    for x in xs[1:3]:
        corners = (Spot(x, bottom + 0.4), Spot(x - 1.4, bottom + 2.8), Spot(x + 1.4, bottom + 2.8))
        canvas.polygon(corners, {"class": "dw-end", "fill": "currentColor", "stroke": "none"})
    canvas.text("lift here", Spot(hook.x, _TOP - 4.5), TEXT, "dw-text")
    line = bottom + 9.5
    canvas.open("dw-dim")
    for x in xs:
        canvas.strokes((Stroke(Spot(x - 0.7, line + 0.7), Spot(x + 0.7, line - 0.7)),))
    for low, high, a, b in zip(xs, xs[1:], stops_16, stops_16[1:], strict=False):
        words = format_length(b - a, units)
        canvas.strokes((Stroke(Spot(low, line), Spot(high, line)),), {"data-length-16": str(b - a)})
        if text_width(words, TEXT, mono=True) < high - low:
            canvas.text(words, Spot((low + high) / 2, line - 1.9), TEXT, "dw-dim-text", mono=True)
    canvas.close()
