"""A floor small enough for a list of floors: outline, members as hairlines, bearings, openings; no text, no sizes.

All thumbnails have one frame, so that they stand in line; their figures are in the words that go with them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Final

from framing.drawing.paper import Spot, Stroke, View
from framing.drawing.plan import reach
from framing.drawing.svg import Canvas
from framing.engine.floor import FloorPlan, Support, SupportKind, Units
from framing.engine.members import BayLayout, Member, MemberKind
from framing.engine.result import FloorResult
from framing.engine.units import SIXTEENTHS_PER_FOOT, SIXTEENTHS_PER_INCH, format_length

WIDTH: Final = 120.0
HEIGHT: Final = 75.0
_EDGE: Final = 3.0
_KINDS: Final = (
    ("dw-joist", (MemberKind.JOIST,)),
    ("dw-trimmer", (MemberKind.TRIMMER,)),
    ("dw-header", (MemberKind.HEADER, MemberKind.BEAM)),
)


def thumbnail_svg(source: FloorPlan | FloorResult) -> str:
    """The floor within 120 by 75 units.

    Args:
        source: a plan (outline, bearings and openings) or a designed floor (its members too, failing ones apart).
    """
    plan = source.plan if isinstance(source, FloorResult) else source
    view = _view(plan)
    canvas = Canvas()
    _strokes(canvas, "dw-wall", (Stroke(view.spot(s.start), view.spot(s.end)) for s in _walls(plan)))
    if isinstance(source, FloorResult):
        _draw_members(canvas, source, view)
    canvas.open("dw-opening")
    for opening in plan.openings:
        low, high = view.spot(opening.rect.low), view.spot(opening.rect.high)
        corners = (low, Spot(high.x, low.y), high, Spot(low.x, high.y))
        canvas.polygon(corners)
        canvas.strokes((Stroke(low, high),))
    canvas.close()
    canvas.open("dw-outline")
    canvas.polygon([view.spot(corner) for corner in plan.outline])
    canvas.close()
    return canvas.finish(WIDTH, HEIGHT, thumbnail_words(source), "", "dw-thumb")


def thumbnail_words(source: FloorPlan | FloorResult) -> str:
    """The thumbnail for those who do not see it: `Main floor, 40 ft by 28 ft, 31 joists`."""
    plan = source.plan if isinstance(source, FloorResult) else source
    words = [plan.name, size_words(plan)]
    if isinstance(source, FloorResult):
        joists = sum(member.kind is MemberKind.JOIST for member in source.members)
        words.append(f"{joists} joist" if joists == 1 else f"{joists} joists")
        failing = _failing(source)
        if failing:
            words.append("1 member fails" if len(failing) == 1 else f"{len(failing)} members fail")
    return ", ".join(words)


def size_words(plan: FloorPlan) -> str:
    """Width by depth of the outline's box as one says them: `40 ft by 28 ft 6 1/2 in`, `12,192 mm by 8,534 mm`."""
    low, high = reach(plan)
    wide_16, deep_16 = high.x_16 - low.x_16, high.y_16 - low.y_16
    return f"{_length_words(wide_16, plan.units)} by {_length_words(deep_16, plan.units)}"


def _length_words(length_16: int, units: Units) -> str:
    if units == "metric":
        number, unit = format_length(length_16, units).split()
        return f"{int(number):,} {unit}"
    feet, rest_16 = divmod(length_16, SIXTEENTHS_PER_FOOT)
    inches, over_16 = divmod(rest_16, SIXTEENTHS_PER_INCH)
    fraction = str(Fraction(over_16, SIXTEENTHS_PER_INCH)) if over_16 else ""
    parts = [f"{feet} ft"] if feet else []
    if rest_16 or not feet:
        whole = str(inches) if inches or not fraction else ""
        parts.append(" ".join(part for part in (whole, fraction, "in") if part))
    return " ".join(parts)


def _view(plan: FloorPlan) -> View:
    """As large as the frame allows, in its middle."""
    low, high = reach(plan)
    wide_16, deep_16 = max(high.x_16 - low.x_16, 1), max(high.y_16 - low.y_16, 1)
    unit = View(1.0, low, Spot(0, 0))
    scale = max(unit.mm(wide_16) / (WIDTH - 2 * _EDGE), unit.mm(deep_16) / (HEIGHT - 2 * _EDGE))
    wide, deep = unit.mm(wide_16) / scale, unit.mm(deep_16) / scale
    return View(scale, low, Spot((WIDTH - wide) / 2, (HEIGHT + deep) / 2))


def _walls(plan: FloorPlan) -> Iterable[Support]:
    """Inner bearings that joists stand on; a flush beam is a member."""
    return (s for s in plan.supports if s.kind is not SupportKind.FLUSH_BEAM)


def _draw_members(canvas: Canvas, result: FloorResult, view: View) -> None:
    """Every member as one line, however many plies it has; those that fail in a class of their own."""
    failing = _failing(result)
    sound = [(m, layout) for layout in result.bays for m in layout.members if m.id not in failing]
    for css, kinds in _KINDS:
        _strokes(canvas, css, (_line(m, layout, view) for m, layout in sound if m.kind in kinds))
    failed = [(m, layout) for layout in result.bays for m in layout.members if m.id in failing]
    _strokes(canvas, "dw-fail", (_line(m, layout, view) for m, layout in failed))


def _failing(result: FloorResult) -> frozenset[str]:
    return frozenset(member for case in result.checks if not case.passes for member in case.members)


def _line(member: Member, layout: BayLayout, view: View) -> Stroke:
    low, high = member.plan_ends(layout.frame)
    return Stroke(_rough(view.spot(low)), _rough(view.spot(high)))


def _rough(spot: Spot) -> Spot:
    """A tenth of a unit is finer than a hairline, and half as long to write."""
    return Spot(round(spot.x, 1), round(spot.y, 1))


def _strokes(canvas: Canvas, css: str, strokes: Iterable[Stroke]) -> None:
    found: Sequence[Stroke] = tuple(strokes)
    if found:
        canvas.open(css)
        canvas.strokes(found)
        canvas.close()
