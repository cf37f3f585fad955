"""Details of joist ends at outside bearings: platform and ledger (R4, R20, R21)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from framing.drawing.conditions import Conditions, End
from framing.drawing.pane import Detail, Pane, large_scale
from framing.engine.catalogue import JoistProfile
from framing.engine.members import EndKind
from framing.engine.placement import Item

_PLATE_16 = 24  # how thick a wood plate is drawn
_LEG_16 = 24  # how long a clip's leg is drawn
_SHORT = 0.7  # of the depth: how tall a clip angle is drawn


def end_details(found: Conditions) -> Iterator[Detail]:
    """One for each kind of outside bearing, profile and wall width, first as it occurs."""
    groups: dict[tuple[EndKind, str, int], list[End]] = {}
    for end in found.ends():
        if end.meets.kind in (EndKind.PLATFORM, EndKind.BALLOON):
            width_16 = _wall_16(found, end)
            groups.setdefault((end.meets.kind, end.member.profile, width_16), []).append(end)
    for (kind, profile, _), ends in sorted(groups.items(), key=lambda row: row[0][0] is EndKind.BALLOON):
        first = min(ends, key=lambda end: end.member.plies)
        platform = kind is EndKind.PLATFORM
        title = f"Joist end at a {'platform bearing' if platform else 'ledger'}, {profile}"
        rules = "R4, R20, R21" if platform else "R2, R4, R20"
        draw = partial(_draw_end, found, first)
        places = f"{len(ends)} member end{'s' if len(ends) > 1 else ''}"
        yield Detail(kind.value, title, rules, places, large_scale(found.units), found.units, draw)


def _wall_16(found: Conditions, end: End) -> int:
    return found.result.plan.edges[int(end.meets.host.removeprefix("edge:"))].width_16


def clearance_16(found: Conditions, end: End) -> int:
    """From the cut end to the board, measured on the floor (R4)."""
    index = int(end.meets.host.removeprefix("edge:"))
    outline_16 = end.layout.frame.along_16(found.result.plan.outline[index])
    return abs(end.cut_16 - outline_16) - found.practice.rim_thickness_16


def _draw_end(found: Conditions, end: End, pane: Pane) -> None:
    profile, rim_16, gap_16 = (
        found.profile(end.member),
        found.practice.rim_thickness_16,
        clearance_16(found, end),
    )
    depth, start = profile.depth_16, rim_16 + gap_16
    clip = f"clip:{end.member.id}:{end.name}:0"
    steel, wood = found.count(clip, Item.STEEL_SCREW), found.count(clip, Item.WOOD_SCREW)
    platform = end.meets.kind is EndKind.PLATFORM
    pane.box("dw-trimmer", 0, 0, rim_16, depth)
    draw_joist(pane, profile, start, pane.right_16, broken="high")
    top = 0.0 if platform else depth * (1 - _SHORT) / 2
    _draw_clip(pane, rim_16, top, depth - top, steel, wood)
    pane.depth(0, 0, depth)
    (_draw_platform if platform else _draw_ledger)(found, end, pane, depth)
    what = "Full-depth bearing clip" if platform else "Clip angle"
    bottom, leg = depth - top, rim_16 + _LEG_16
    steels, woods = spread(top, bottom, steel), spread(top, bottom, wood)
    pane.note(f"{what}, one per ply", leg, top + (bottom - top) * 0.04)
    pane.note(f"{steel} self-drilling screws to the joist", leg - _LEG_16 / 2 + 4, steels[len(steels) // 3])
    board = f"{'rim board' if platform else 'ledger'}, {pane.length(rim_16)} thick"
    pane.note(f"{wood} wood screws to the {board}", rim_16 - 4, woods[len(woods) * 2 // 3])
    pane.note(f"End clearance {pane.length(gap_16)}, made up by the clip", rim_16 + gap_16, bottom - 5)


def draw_joist(
    pane: Pane, profile: JoistProfile, low: float, high: float, *, broken: str, hidden_to: float | None = None
) -> None:
    """A joist from its open side: flanges and lips, cut ends, a break line where it goes on.

    `hidden_to`: up to there it stands behind another one and is dashed.
    """
    depth, lip = profile.depth_16, profile.lip_in * 16
    seen = low if hidden_to is None else hidden_to
    for y, css in ((0.0, "dw-joist"), (lip, "dw-run"), (depth - lip, "dw-run"), (float(depth), "dw-joist")):
        pane.path(css, ((seen, y), (high, y)))
    for name, x in (("low", low), ("high", high)):
        if broken in (name, "both"):
            pane.cut(x, 0, depth)
        else:
            pane.path("dw-joist", ((x, 0), (x, depth)), dashed=seen > x)


def spread(low: float, high: float, count: int) -> list[float]:
    """`count` places evenly between two, half a step from each."""
    return [low + (high - low) * (index + 0.5) / count for index in range(count)]


def _draw_clip(pane: Pane, face: float, top: float, bottom: float, steel: int, wood: int) -> None:
    pane.box("dw-header", face, top, face + _LEG_16, bottom)
    pane.fasteners([(face + _LEG_16 / 2, y) for y in spread(top, bottom, steel)], "steel-screw")
    pane.shanks([(face, y, face - 14, y) for y in spread(top, bottom, wood)], "wood-screw")


def _draw_platform(found: Conditions, end: End, pane: Pane, depth: float) -> None:
    """Plate and wall under the joist, and the nails of one ply."""
    width, member = _wall_16(found, end), end.member
    draw_wall(pane, 0, width, depth)
    nails = found.count(member.id, Item.BEARING_NAIL, end.name) // member.plies
    start = found.practice.rim_thickness_16 + _LEG_16 + 8
    pane.shanks([(x, depth - 6, x, depth + 20) for x in spread(start, width, nails)], "bearing-nail")
    pane.note(f"{nails} bearing nails per ply to the plate", start + (width - start) / 2 + 4, depth + 12)
    pane.note(f"Wall {pane.length(width)} wide", width - 6, depth + _PLATE_16 + 20)


def draw_wall(pane: Pane, low: float, high: float, top: float) -> None:
    """A plate and the broken-off wall under it."""
    foot = top + _PLATE_16 + 30
    pane.box("dw-wall", low, top, high, top + _PLATE_16)
    for x in (low, high):
        pane.path("dw-wall", ((x, top + _PLATE_16), (x, foot)))
    pane.path("dw-run", ((low - 6, foot), ((low + high) / 2 - 6, foot), ((low + high) / 2 - 2, foot - 8),
                         ((low + high) / 2 + 2, foot + 8), ((low + high) / 2 + 6, foot), (high + 6, foot)))  # fmt: skip


def _draw_ledger(found: Conditions, end: End, pane: Pane, depth: float) -> None:
    """The wall's face that goes on above and below the floor."""
    del found
    pane.path("dw-wall", ((0, -14), (0, 0)))
    pane.path("dw-wall", ((0, depth), (0, depth + 40)))
    pane.note(
        f"Ledger on the wall; no plate under the {'joist' if end.member.plies == 1 else 'member'}",
        0,
        depth + 24,
    )
