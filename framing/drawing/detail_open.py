"""Details of free edges, of joists at flush beams, and of flush beams on inner bearings (R4, R5, R20, R21)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from framing.drawing.conditions import Conditions, End
from framing.drawing.detail_ends import (
    LEG_16,
    SHORT,
    clip_at_board,
    draw_joist,
    draw_wall,
    group_ends,
    met,
    note_clearance,
    rim_16,
    spread,
)
from framing.drawing.detail_frames import draw_section
from framing.drawing.pane import Detail, Pane, large_scale
from framing.engine.members import Crossing, EndKind, Member, MemberKind
from framing.engine.placement import Item

_BREAK_16, _GAP_16 = 118, 8  # where a cantilever is broken off, and how wide
_BACK_16 = 40  # from the break to the bearing's face


def open_details(found: Conditions) -> Iterator[Detail]:
    """Free edges, then joists at flush beams, then what flush beams stand on."""
    for group in group_ends(found, EndKind.FREE):
        yield group.detail(found, "a free edge", "R4, R20, R21", _draw_free)
    yield from _flush(found)
    yield from _alone(found)


def _draw_free(found: Conditions, end: End, pane: Pane) -> None:
    """The rim with nothing under it, a break, and the bearing that the member runs over."""
    slope = met(found, end)[1]
    profile, rim = found.profile(end.member), rim_16(found, slope)
    depth, back = profile.depth_16, float(met(found, end)[0])
    pane.box("dw-trimmer", 0, 0, rim, depth)
    draw_joist(pane, profile, back, _BREAK_16, broken="high")
    draw_joist(pane, profile, _BREAK_16 + _GAP_16, pane.right_16, broken="both")
    pane.depth(0, 0, depth)
    top = depth * (1 - SHORT) / 2
    clip_at_board(found, end, pane, (rim, top, depth - top), ("Clip angle", "rim board"))
    note_clearance(pane, met(found, end), rim, depth - top - 5)
    crossing = _last(end)
    if crossing is not None:
        _draw_passed(found, end, crossing, pane, depth)


def _last(end: End) -> Crossing | None:
    """The bearing next to the free end."""
    crossings = end.member.crossings
    if not crossings:
        return None
    return crossings[0] if end.name == "low" else crossings[-1]


def _draw_passed(found: Conditions, end: End, crossing: Crossing, pane: Pane, depth: float) -> None:
    width, member = found.supports[f"support:{crossing.support}"].width_16, end.member
    low = _BREAK_16 + _GAP_16 + _BACK_16
    draw_wall(pane, low, low + width, depth)
    nails = found.count(member.id, Item.BEARING_NAIL, crossing.support) // member.plies
    places = spread(low, low + width, nails)
    pane.shanks([(x, depth - 6, x, depth + 20) for x in places], "bearing-nail")
    face = crossing.low_face_16 if end.name == "low" else crossing.high_face_16
    over = abs(face - end.meets.face_16)
    words = f"Runs out {pane.length(over)} past the bearing, in one piece; nothing under it"
    pane.note(words, _BREAK_16 - 30, depth * 0.12)
    words = f"Bearing {crossing.support}, {pane.length(width)} wide; {nails} nails per ply"
    pane.note(words, places[-1] if places else low + width, depth + 13)


def _flush(found: Conditions) -> Iterator[Detail]:
    """One for each profile of joist and beam; the beam with joists on both sides first."""
    groups: dict[tuple[str, str, int], dict[str, list[End]]] = {}
    for end in found.ends():
        if end.meets.kind is EndKind.FLUSH:
            beam = found.members[end.meets.host]
            key = (end.member.profile, beam.profile, beam.plies)
            groups.setdefault(key, {}).setdefault(beam.id, []).append(end)
    for (profile, _, _), beams in groups.items():
        name, ends = max(beams.items(), key=lambda row: len({end.name for end in row[1]}))
        count = sum(map(len, beams.values()))
        title = f"Joists at a flush beam, {profile}"
        places = f"{count} member end{'s' if count > 1 else ''}"
        draw = partial(_draw_flush, found, found.members[name], _one_a_side(ends))
        yield Detail("flush", title, "R5, R7, R20", places, large_scale(found.units), found.units, draw)


def _one_a_side(ends: list[End]) -> dict[str, End]:
    """By the name of the end: "high" comes from the low side, "low" from the high side."""
    found: dict[str, End] = {}
    for end in sorted(ends, key=lambda end: end.member.plies):
        found.setdefault(end.name, end)
    return found


def _draw_flush(found: Conditions, beam: Member, ends: dict[str, End], pane: Pane) -> None:
    """Along the joists: the beam's plies across, a joist at each side of it with its clip angle."""
    profile, middle = found.profile(beam), round(pane.right_16 / 2)
    depth, half = profile.depth_16, beam.width_16 / 2
    for ply in range(beam.plies):
        draw_section(pane, profile, middle - half + profile.flange_16 * ply, 0)
    gaps = {name: _gap_16(found, beam, end) for name, end in ends.items()}
    if "high" in ends:
        draw_joist(pane, found.profile(ends["high"].member), 0, middle - half - gaps["high"], broken="low")
    if "low" in ends:
        draw_joist(
            pane, found.profile(ends["low"].member), middle + half + gaps["low"], pane.right_16, broken="high"
        )
    for name, sign in (("high", -1.0), ("low", 1.0)):
        if name in ends:
            _draw_angle(found, ends[name], pane, middle + sign * half, sign, depth)
    name, sign = ("low", 1.0) if "low" in ends else ("high", -1.0)
    each = found.count(f"clip:{ends[name].member.id}:{name}:0", Item.STEEL_SCREW) // 2
    face, top, row = middle + sign * half, depth * (1 - SHORT) / 2, spread(depth * 0.15, depth * 0.85, each)
    pane.note(f"Flush beam {beam.mark}, {beam.plies} plies of {beam.profile}", middle, 0)
    pane.note("Clip angle, one per ply of the joist", face + sign * LEG_16, top + 4)
    pane.note(f"{each} self-drilling screws in each leg", face + sign * LEG_16 / 2, row[len(row) // 2])
    words = f"Joist ends {pane.length(round(gaps[name]))} short of the beam; no nails, no plate under it"
    pane.note(words, face + sign * gaps[name], depth - 8)
    pane.depth(0 if "high" in ends else middle - half, 0, depth)


def _gap_16(found: Conditions, beam: Member, end: End) -> float:
    """From a joist's cut end to the beam's face."""
    place = found.crossing_16(end.member, *beam.plan_ends(found.frames[beam.bay]))[0]
    return abs(end.cut_16 - float(place)) - beam.width_16 / 2


def _draw_angle(found: Conditions, end: End, pane: Pane, face: float, sign: float, depth: float) -> None:
    top, bottom = depth * (1 - SHORT) / 2, depth * (1 + SHORT) / 2
    each = found.count(f"clip:{end.member.id}:{end.name}:0", Item.STEEL_SCREW) // 2
    low, high = sorted((face, face + sign * LEG_16))
    pane.box("dw-header", low, top, high, bottom)
    rows = spread(top, bottom, each)
    pane.fasteners([(face + sign * LEG_16 / 2, y) for y in rows], "steel-screw")
    pane.shanks([(face, y, face - sign * 10, y) for y in rows], "beam-screw")


def _alone(found: Conditions) -> Iterator[Detail]:
    """Flush beams that end over a wall or beam inside: butted, with no member behind them."""
    groups: dict[str, list[End]] = {}
    for end in found.ends():
        if end.meets.kind is EndKind.BUTT and end.member.kind is MemberKind.BEAM:
            groups.setdefault(end.member.profile, []).append(end)
    for profile, ends in groups.items():
        draw = partial(_draw_alone, found, min(ends, key=lambda end: end.member.plies))
        title = f"Flush beam end on an inner bearing, {profile}"
        places = f"{len(ends)} member end{'s' if len(ends) > 1 else ''}"
        yield Detail("butt-B", title, "R5, R21", places, large_scale(found.units), found.units, draw)


def _draw_alone(found: Conditions, end: End, pane: Pane) -> None:
    support = found.supports[end.meets.host]
    short = abs(end.cut_16 - found.centre_16(support, end.member))
    profile, width, low = found.profile(end.member), support.width_16, 12
    depth = profile.depth_16
    draw_joist(pane, profile, low + width / 2 + short, pane.right_16, broken="high")
    draw_wall(pane, low, low + width, depth)
    nails = found.count(end.member.id, Item.BEARING_NAIL, end.name) // end.member.plies
    places = spread(low + width / 2 + short, low + width, nails)
    pane.shanks([(x, depth - 6, x, depth + 20) for x in places], "bearing-nail")
    pane.depth(low, 0, depth)
    pane.note(
        f"Stops {pane.length(short)} short of the center; no clip, no plate",
        low + width / 2 + short,
        depth * 0.3,
    )
    pane.note(f"{nails} bearing nails per ply", low + width - 8, depth + 13)
    pane.note(f"Bearing {support.id}, {pane.length(width)} wide", low + width, depth + 40)
