"""Two designs of one floor in one sketch: members added, removed and changed, told by line and mark, not by colour.

Added members are heavy and solid with a plus, removed ones dashed with a cross, changed ones heavy with both; what
stayed is thin. A legend with counts stands under the floor.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from framing.drawing.ground import draw_borders, draw_outline, edge_strokes
from framing.drawing.labels import Scene
from framing.drawing.members import Drawn, drawn_members
from framing.drawing.openings import draw_openings
from framing.drawing.paper import Box, Ground, Spot, Stroke, View, box_at, cut
from framing.drawing.plan import reach
from framing.drawing.supports import draw_supports
from framing.drawing.svg import CAP_HEIGHT, Canvas, Value, attributes, number
from framing.engine.floor import FloorPlan
from framing.engine.geometry import Point
from framing.engine.result import FloorResult

_WIDTH: Final = 120.0
_TALLEST: Final = 105.0
_EDGE: Final = 4.0
_TEXT: Final = 4.4
_ROW: Final = 7.0  # of the legend
_SAMPLE: Final = 12.0
_HALF: Final = 1.25  # of a mark
_AIR: Final = 0.5  # kept free round a mark
_TRIES: Final = (0.5, 0.36, 0.64, 0.24, 0.76, 0.43, 0.57, 0.3, 0.7)  # places of a mark along its member
_LOOKS: Final[dict[str, dict[str, Value]]] = {
    "dw-same": {"stroke-width": 0.16, "stroke-opacity": 0.75},
    "dw-added": {"stroke-width": 0.5},
    "dw-removed": {"stroke-width": 0.32, "stroke-dasharray": "1.6 1"},
    "dw-changed": {"stroke-width": 0.5},
    "dw-before": {"stroke-width": 0.3, "stroke-dasharray": "1.6 1"},
}
_BY_MARK: Final = {"dw-added": "+", "dw-removed": "x", "dw-changed": "+x"}


@dataclass(frozen=True, slots=True)
class MemberChanges:
    """Members by id: `added` of the floor now, `removed` of the floor before, `changed` pairs of (before, now)."""

    added: frozenset[str] = frozenset()
    removed: frozenset[str] = frozenset()
    changed: tuple[tuple[str, str], ...] = ()

    @property
    def any(self) -> bool:
        return bool(self.added or self.removed or self.changed)

    @property
    def words(self) -> str:
        """“3 members added, 2 removed, 1 changed.”"""
        counts = (len(self.added), "added"), (len(self.removed), "removed"), (len(self.changed), "changed")
        parts = [f"{count} {what}" for count, what in counts if count]
        return f"Members: {', '.join(parts)}." if parts else "Every member is as before."


def compare_svg(was: FloorResult | None, now: FloorResult | None, changes: MemberChanges) -> str:
    """The floor as it is now, with what came, went and changed; as it was where it is gone.

    Raises ValueError where there is neither.
    """
    shown = now or was
    if shown is None:
        raise ValueError("There is no floor to draw.")
    view, foot = _view([result.plan for result in (was, now) if result])
    canvas = Canvas()
    _draw_ground(canvas, shown.plan, view)
    if was and now and was.plan.outline != now.plan.outline:
        _open(canvas, "dw-before")
        canvas.strokes(edge_strokes(was.plan, view))
        canvas.close()
    same = _draw_members(canvas, was, now, changes, view)
    height = _draw_legend(canvas, changes, same, foot)
    title = f"{shown.plan.name}: members added, removed and changed"
    return canvas.finish(_WIDTH, height, title, changes.words, "dw-sketch dw-compare")


def _view(plans: Iterable[FloorPlan]) -> tuple[View, float]:
    """A view that shows all the plans, and where the floor ends on the sketch."""
    reaches = [reach(plan) for plan in plans]
    low = Point(min(a.x_16 for a, _ in reaches), min(a.y_16 for a, _ in reaches))
    high = Point(max(b.x_16 for _, b in reaches), max(b.y_16 for _, b in reaches))
    width, height = max(high.x_16 - low.x_16, 1), max(high.y_16 - low.y_16, 1)
    unit = View(1.0, low, Spot(0, 0))
    scale = max(unit.mm(width) / (_WIDTH - 2 * _EDGE), unit.mm(height) / (_TALLEST - 2 * _EDGE))
    wide, tall = unit.mm(width) / scale, unit.mm(height) / scale
    return View(scale, low, Spot((_WIDTH - wide) / 2, _EDGE + tall)), tall + 2 * _EDGE


def _draw_ground(canvas: Canvas, plan: FloorPlan, view: View) -> None:
    scene = Scene()
    draw_outline(canvas, scene, plan, view)
    draw_borders(canvas, scene, plan, view)
    draw_supports(canvas, scene, plan, view)
    draw_openings(canvas, scene, plan, view)


def _draw_members(
    canvas: Canvas, was: FloorResult | None, now: FloorResult | None, changes: MemberChanges, view: View
) -> int:
    """Draw both floors' members; returns how many are as before."""
    old = {one.member.id: one for one in drawn_members(was, view)} if was else {}
    new = {one.member.id: one for one in drawn_members(now, view)} if now else {}
    changed = {after for _, after in changes.changed}
    same = [one for key, one in new.items() if key not in changed and key not in changes.added]
    _draw_plain(canvas, "dw-same", same)
    moved = [old[before] for before, after in changes.changed if old[before].centre != new[after].centre]
    _draw_plain(canvas, "dw-before", moved)
    ground = Ground()
    _draw_marked(canvas, "dw-removed", [old[key] for key in sorted(changes.removed)], ground)
    _draw_marked(canvas, "dw-changed", [new[key] for _, key in changes.changed], ground)
    _draw_marked(canvas, "dw-added", [new[key] for key in sorted(changes.added)], ground)
    return len(same)


def _open(canvas: Canvas, css: str, member: str = "") -> None:
    values: dict[str, Value] = {"class": css, "fill": "none", "stroke": "currentColor", **_LOOKS[css]}
    if member:
        values["data-id"] = member
    canvas.raw(f"<g{attributes(values)}>")


def _draw_plain(canvas: Canvas, css: str, members: Iterable[Drawn]) -> None:
    _open(canvas, css)
    canvas.strokes(ply for one in members for ply in one.plies)
    canvas.close()


def _draw_marked(canvas: Canvas, css: str, members: Iterable[Drawn], ground: Ground) -> None:
    for one in members:
        spot = _free_spot(one, len(_BY_MARK[css]), ground)
        boxes = _mark_boxes(one, css, spot)
        for box in boxes:
            ground.add(box, 1.0)
        _open(canvas, css, one.member.id)
        canvas.strokes(part for ply in one.plies for part in cut(ply, boxes))
        _draw_signs(canvas, css, [box.centre for box in boxes])
        canvas.close()


def _free_spot(one: Drawn, signs: int, ground: Ground) -> Spot:
    """The first place along a member where its mark stands on no other one; else its middle."""
    way = one.centre.direction
    for share in _TRIES:
        spot = one.centre.at(one.centre.length * share)
        if not any(ground.weight_under(_box(spot, way, index), 0.0) for index in range(signs)):
            return spot
    return one.centre.at(one.centre.length * _TRIES[0])


def _mark_boxes(one: Drawn, css: str, spot: Spot) -> list[Box]:
    return [_box(spot, one.centre.direction, index) for index in range(len(_BY_MARK[css]))]


def _box(spot: Spot, way: Spot, index: int) -> Box:
    """The box of a mark's sign; a second sign stands on along the member."""
    size, step = 2 * (_HALF + _AIR), index * 2 * (_HALF + _AIR)
    return box_at(spot.moved(way.x * step, way.y * step), size, size)


def _draw_signs(canvas: Canvas, css: str, spots: Iterable[Spot]) -> None:
    canvas.raw('<g stroke-dasharray="none" stroke-width="0.45">')
    for sign, spot in zip(_BY_MARK[css], spots, strict=True):
        reach_x, reach_y = (_HALF, 0.0) if sign == "+" else (_HALF * 0.8, _HALF * 0.8)
        for dx, dy in ((reach_x, reach_y), (-reach_y, reach_x)):
            canvas.strokes((Stroke(spot.moved(-dx, -dy), spot.moved(dx, dy)),))
    canvas.close()


def _draw_legend(canvas: Canvas, changes: MemberChanges, same: int, foot: float) -> float:
    """Samples with words and counts in two columns; returns where they end."""
    entries = (
        ("dw-added", f"added: {len(changes.added)}"),
        ("dw-removed", f"removed: {len(changes.removed)}"),
        ("dw-changed", f"changed: {len(changes.changed)}"),
        ("dw-same", f"as before: {same}"),
    )
    for place, (css, words) in enumerate(entries):
        left, y = _EDGE + (place % 2) * _WIDTH / 2, foot + (place // 2) * _ROW + _ROW / 2
        line = Stroke(Spot(left, y), Spot(left + _SAMPLE, y))
        signs = _BY_MARK.get(css, "")
        first = left + _SAMPLE / 2 - (len(signs) - 1) * (_HALF + _AIR)
        boxes = [_box(Spot(first, y), Spot(1, 0), index) for index in range(len(signs))]
        _open(canvas, css)
        canvas.strokes(cut(line, boxes))
        if signs:
            _draw_signs(canvas, css, [box.centre for box in boxes])
        canvas.close()
        _write(canvas, words, Spot(left + _SAMPLE + 2, y))
    return foot + 2 * _ROW + 1.0


def _write(canvas: Canvas, words: str, at: Spot) -> None:
    """A text that keeps its place at any size: a page sets the size by the width that it is shown at."""
    more: dict[str, Value] = {"x": at.x, "y": at.y, "dy": f"{number(CAP_HEIGHT / 2)}em"}
    canvas.text(words, at, _TEXT, "dw-text", anchor="start", more=more)
