"""One bay laid out: its members in install order, its framed openings and its spans (R3-R8, R12)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from framing.engine.catalogue import JoistProfile
from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import Bay, FloorPlan
from framing.engine.geometry import Frame
from framing.engine.layout.beams import FlushBeam
from framing.engine.layout.framed_set import FramedSet
from framing.engine.layout.frames import frame_openings
from framing.engine.layout.ground import Ground
from framing.engine.layout.joists import LEAST_PIECE_16, lay_joists
from framing.engine.layout.partitions import carry_partitions
from framing.engine.layout.spans import find_spans
from framing.engine.layout.stations import Station
from framing.engine.members import BayLayout, EndKind, FramedOpening, Member, MemberEnd, MemberKind
from framing.engine.practice import Practice
from framing.engine.units import format_length

Order = tuple[int, int, int, int, int, int]


def lay_bay(
    plan: FloorPlan,
    ground: Ground,
    stations: Sequence[Station],
    profile: JoistProfile,
    plies: Mapping[str, int],
    beams: Sequence[FlushBeam],
) -> tuple[BayLayout, dict[str, str]]:
    """The bay's members with their final ids, in install order, without marks and holes; final ids by provisional.

    Raises FloorRefused where the floor is too narrow for a joist or a piece is longer than can be made.
    """
    bay, practice = ground.bay, ground.practice
    frames = frame_openings(plan, ground, profile, plies)
    carried = carry_partitions(plan, ground, profile, plies)
    laid = lay_joists(ground, profile, stations, frames, carried)
    askew = ground.askew
    short = [member for member in laid if askew and _too_short(askew, member)]
    joists = [member for member in laid if member not in short] if short else list(laid)
    own = {beam.support: beam.member for beam in beams if beam.bay == bay.id}
    members = [*own.values(), *joists, *carried, *(member for frame in frames for member in frame.members)]
    if not joists:
        where = "floor" if len(plan.bays) == 1 else f"bay {bay.id}"
        raise FloorRefused((Problem("outline", f"The {where} is too narrow for a joist; widen it."),))
    _refuse_unheld(members, ground.frame)
    _refuse_spans(plan, members, ground.frame)
    _refuse_long(plan, members, practice)
    named, names = _named(bay, sorted(members, key=lambda member: _order(member, frames)))
    layout = BayLayout(
        bay,
        ground.frame,
        profile.designator,
        named,
        tuple(_renamed(frame.framed, names) for frame in frames),
        find_spans(ground, sorted({station.scan_16 for station in stations})),
        None,
        beams=tuple((support, names[member.id]) for support, member in own.items()),
        left_out=tuple(_left_out(plan, ground, member) for member in short),
    )
    return layout, names


def _too_short(askew: frozenset[str], member: Member) -> bool:
    """Whether a piece at a skewed wall is too short to set; on square floors such spans are refused instead."""
    if askew.isdisjoint(
        (member.low.host, member.high.host, *(f"support:{c.support}" for c in member.crossings))
    ):
        return False
    return member.length_16 < LEAST_PIECE_16 or _least_clear_16(member) <= 0


def _left_out(plan: FloorPlan, ground: Ground, member: Member) -> Problem:
    length = format_length(max(member.length_16, 0), plan.units)
    at = ground.frame.point(member.centre_16, (member.low_16 + member.high_16) // 2)
    words = f"A joist of {length} at the skewed wall is too short to set; block the corner on site."
    return Problem("outline", words, at.x_16, at.y_16)


def _order(member: Member, frames: Sequence[FramedSet]) -> Order:
    """R12: line by line from the start edge out; an opening's members together, tails after their header."""
    for frame in frames:
        place = _place_in(member, frame)
        if place is not None:
            return frame.bent.line, frame.place_16, 1, place, member.centre_16, member.low_16
    if member.kind is MemberKind.BEAM:
        return -1, member.centre_16, 0, 0, member.low_16, 0
    return member.line, member.centre_16, 0, 0, member.centre_16, member.low_16


def _place_in(member: Member, frame: FramedSet) -> int | None:
    framed = frame.framed
    order = (framed.trimmer_low, framed.trimmer_high, framed.header_low, framed.header_high)
    if member.id in order:
        return (0, 1, 2, 4)[order.index(member.id)]
    for end in (member.low, member.high):
        if end.kind is EndKind.HEADER and end.host in order:
            return 3 if end.host == framed.header_low else 5
    return None


def _named(bay: Bay, ordered: Sequence[Member]) -> tuple[tuple[Member, ...], dict[str, str]]:
    counts: dict[MemberKind, int] = {}
    names: dict[str, str] = {}
    for member in ordered:
        counts[member.kind] = counts.get(member.kind, 0) + 1
        names[member.id] = f"{bay.id}.{member.kind}{counts[member.kind]}"
    named = tuple(
        replace(member, id=names[member.id], low=_met(member.low, names), high=_met(member.high, names))
        for member in ordered
    )
    return named, names


def _met(end: MemberEnd, names: Mapping[str, str]) -> MemberEnd:
    return replace(end, host=names[end.host]) if end.host in names else end


def _renamed(framed: FramedOpening, names: Mapping[str, str]) -> FramedOpening:
    return replace(
        framed,
        trimmer_low=names[framed.trimmer_low] if framed.trimmer_low else None,
        trimmer_high=names[framed.trimmer_high] if framed.trimmer_high else None,
        header_low=names[framed.header_low] if framed.header_low else None,
        header_high=names[framed.header_high] if framed.header_high else None,
    )


def _refuse_unheld(members: Sequence[Member], frame: Frame) -> None:
    """R51: a piece that runs out to a free edge from its only bearing, as beside an opening."""
    for member in members:
        ends = [end for end in (member.low, member.high) if end.kind is not EndKind.FREE]
        if len(ends) + len(member.crossings) < 2:
            at, _ = member.plan_ends(frame)
            words = (
                f"{member.why} would run out to the free edge from one bearing alone; move the opening away from the "
                "bearing or say what stands under that edge."
            )
            raise FloorRefused((Problem("supports", words, at.x_16, at.y_16),))


def _refuse_spans(plan: FloorPlan, members: Sequence[Member], frame: Frame) -> None:
    """R51: a member whose bearings leave no clear span between them."""
    for member in members:
        clear = _least_clear_16(member)
        if clear <= 0:
            at, _ = member.plan_ends(frame)
            length = format_length(clear, plan.units)
            words = f"A joist's clear span is {length} between its bearings; move the bearings apart."
            raise FloorRefused((Problem("outline", words, at.x_16, at.y_16),))


def _least_clear_16(member: Member) -> int:
    """The least clear span of a member between what it bears on."""
    faces = [member.low.face_16]
    faces += [face for c in member.crossings for face in (c.low_face_16, c.high_face_16)]
    faces.append(member.high.face_16)
    return min(high - low for low, high in zip(faces[::2], faces[1::2], strict=True))


def _refuse_long(plan: FloorPlan, members: Sequence[Member], practice: Practice) -> None:
    longest = max(members, key=lambda member: member.length_16)
    if longest.length_16 > practice.longest_piece_16:
        length = format_length(longest.length_16, plan.units)
        limit = format_length(practice.longest_piece_16, plan.units)
        words = (
            f"A joist would be {length} long; the longest piece is {limit}. Add a bearing or turn the joists."
        )
        raise FloorRefused((Problem("outline", words),))
