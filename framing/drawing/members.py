"""Members on the paper: their plies, printed ends, holes and failure hatch."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from framing.drawing.labels import FIRM, LIGHT, MIDDLE, SOLID, Scene
from framing.drawing.paper import Box, Spot, Stroke, View, box_around, box_at
from framing.drawing.svg import Canvas, Value, look
from framing.engine.floor import Units
from framing.engine.members import BayLayout, Member, MemberKind
from framing.engine.result import FloorResult
from framing.engine.units import format_length

CLASS_OF = {
    MemberKind.JOIST: "dw-joist",
    MemberKind.TRIMMER: "dw-trimmer",
    MemberKind.HEADER: "dw-header",
    MemberKind.BEAM: "dw-flush",
    MemberKind.BLOCK: "dw-block",
}
_END_LONG, _END_HALF = 1.5, 0.55  # the printed-end triangle
_PLIES_LEAST = 0.5  # plies are never drawn closer than this, so that they can be told apart
_CAP_OUT = 0.9  # of a flush beam's end bars, beyond its plies
_HEAVY_LEAST = 0.8  # likewise of headers and flush beams, whose lines are heavier
_HATCH = 1.6
DETAIL_SCALE = 64.0  # holes are drawn at 1 : 64 and larger


@dataclass(frozen=True, slots=True)
class Drawn:
    """A member and where it stands on the paper; `centre` runs from the printed end."""

    member: Member
    layout: BayLayout
    centre: Stroke
    plies: tuple[Stroke, ...]

    @property
    def upright(self) -> bool:
        return self.centre.a.x == self.centre.b.x

    @property
    def half_width(self) -> float:
        """From the centre line to the outermost ply line."""
        first = self.plies[0]
        return abs(first.a.x - self.centre.a.x) + abs(first.a.y - self.centre.a.y)

    @property
    def box(self) -> Box:
        return box_around(spot for ply in self.plies for spot in (ply.a, ply.b))


def drawn_members(result: FloorResult, view: View) -> tuple[Drawn, ...]:
    return tuple(_drawn(member, layout, view) for layout in result.bays for member in layout.members)


def _drawn(member: Member, layout: BayLayout, view: View) -> Drawn:
    low, high = member.plan_ends(layout.frame)
    centre = Stroke(view.spot(low), view.spot(high))
    least = _HEAVY_LEAST if member.kind in (MemberKind.BEAM, MemberKind.HEADER) else _PLIES_LEAST
    pitch = max(view.mm(member.width_16 / member.plies), least)
    plies = tuple(centre.beside((ply - (member.plies - 1) / 2) * pitch) for ply in range(member.plies))
    return Drawn(member, layout, centre, plies)


def block_members(scene: Scene, drawn: Iterable[Drawn], failing: frozenset[str]) -> None:
    """Put members on the ground, so that marks keep off them and off the hatch of failing ones."""
    for item in drawn:
        scene.block(item.plies, LIGHT if item.member.kind is MemberKind.JOIST else FIRM)
        if item.member.id in failing:
            scene.ground.add(item.box.grown(0.8), MIDDLE)
        scene.block(_caps(item), FIRM)
        scene.ground.add(box_around(_end(item)).grown(0.1), SOLID)


def draw_members(
    canvas: Canvas,
    scene: Scene,
    drawn: Iterable[Drawn],
    view: View,
    units: Units,
    failing: frozenset[str],
    highlight: frozenset[str],
) -> None:
    for item in drawn:
        member = item.member
        values: dict[str, Value] = {"data-id": member.id}
        if member.mark:
            values["data-mark"] = member.mark
        canvas.group(values, tooltip(member, units))
        if member.id in highlight:
            canvas.raw(f"<g{look('dw-highlight')}>")
            canvas.strokes((item.centre,))
            canvas.close()
        canvas.open(CLASS_OF[member.kind])
        canvas.strokes(scene.broken((*item.plies, *_caps(item))))
        canvas.close()
        canvas.polygon(_end(item), {"class": "dw-end", "fill": "currentColor", "stroke": "none"})
        if view.scale <= DETAIL_SCALE:
            _draw_holes(canvas, item, view)
        if member.id in failing:
            canvas.open("dw-fail")
            canvas.strokes(scene.broken(_hatch(item)))
            canvas.close()
        canvas.close()


def tooltip(member: Member, units: Units) -> str:
    plies = f"{member.plies}-ply " if member.plies > 1 else ""
    parts = (
        member.mark or member.id,
        f"{plies}{member.profile}",
        format_length(member.length_16, units),
        member.why,
    )
    return " · ".join(part for part in parts if part)


def _caps(item: Drawn) -> tuple[Stroke, ...]:
    """A flush beam is closed at both ends, wider than its plies; other members are open."""
    if item.member.kind is not MemberKind.BEAM:
        return ()
    way, half = item.centre.direction, item.half_width + _CAP_OUT
    return tuple(
        Stroke(spot.moved(-way.y * half, way.x * half), spot.moved(way.y * half, -way.x * half))
        for spot in (item.centre.a, item.centre.b)
    )


def _end(item: Drawn) -> tuple[Spot, Spot, Spot]:
    """The triangle at the printed end, pointing along the member."""
    way, start = item.centre.direction, item.centre.a
    half = item.half_width + _END_HALF
    side = Spot(-way.y * half, way.x * half)
    return (
        start.moved(side.x, side.y),
        start.moved(-side.x, -side.y),
        start.moved(way.x * _END_LONG, way.y * _END_LONG),
    )


def _draw_holes(canvas: Canvas, item: Drawn, view: View) -> None:
    for hole_16 in item.member.holes_16:
        side = max(view.mm(24), 0.7)
        spot = item.centre.at(view.mm(hole_16))
        values: dict[str, Value] = {
            "class": "dw-hole",
            "fill": "none",
            "stroke": "currentColor",
            "stroke-width": 0.15,
        }
        canvas.rect(box_at(spot, side, side), values)
    crosses = [
        stroke
        for position_16, _ in item.member.omitted
        for stroke in _cross(item.centre.at(view.mm(position_16)), 0.45)
    ]
    if crosses:
        canvas.open("dw-omitted")
        canvas.strokes(crosses)
        canvas.close()


def _cross(spot: Spot, half: float) -> tuple[Stroke, Stroke]:
    return (
        Stroke(spot.moved(-half, -half), spot.moved(half, half)),
        Stroke(spot.moved(-half, half), spot.moved(half, -half)),
    )


def _hatch(item: Drawn) -> list[Stroke]:
    """Short slashes over the whole length: a failing member is told without colour."""
    half = item.half_width / 0.7 + 0.7
    way = item.centre.direction
    count = max(int(item.centre.length / _HATCH), 1)
    strokes = []
    for index in range(count):
        spot = item.centre.at((index + 0.5) * item.centre.length / count)
        dx, dy = (way.x - way.y) * half * 0.7, (way.y + way.x) * half * 0.7
        strokes.append(Stroke(spot.moved(-dx, -dy), spot.moved(dx, dy)))
    return strokes
