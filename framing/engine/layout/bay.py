"""One bay laid out: its members in install order, its framed openings and its spans (R3-R8, R12)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from framing.engine.catalogue import JoistProfile
from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import Bay, FloorPlan
from framing.engine.geometry import Frame
from framing.engine.layout.frames import FramedSet, frame_openings
from framing.engine.layout.ground import survey
from framing.engine.layout.joists import lay_joists
from framing.engine.layout.partitions import carry_partitions
from framing.engine.layout.spans import find_spans
from framing.engine.layout.stations import find_stations
from framing.engine.members import BayLayout, EndKind, FramedOpening, Member, MemberKind
from framing.engine.practice import Practice
from framing.engine.units import format_length

Order = tuple[int, int, int, int, int, int]


def lay_bay(
    plan: FloorPlan, bay: Bay, profile: JoistProfile, practice: Practice, plies: Mapping[str, int]
) -> BayLayout:
    """The bay's members with their final ids, in install order, without marks and holes.

    Raises FloorRefused where the floor is too narrow for a joist or a piece is longer than can be made.
    """
    ground = survey(plan, bay, practice)
    frames = frame_openings(plan, ground, profile, plies)
    carried = carry_partitions(plan, ground, profile, plies)
    joists = lay_joists(ground, profile, find_stations(ground), frames, carried)
    members = [*joists, *carried, *(member for frame in frames for member in frame.members)]
    if not joists:
        raise FloorRefused((Problem("outline", "The floor is too narrow for a joist; widen it."),))
    _refuse_spans(plan, members, ground.frame)
    _refuse_long(plan, members, practice)
    named, names = _named(bay, sorted(members, key=lambda member: _order(member, frames)))
    openings = tuple(_renamed(frame.framed, names) for frame in frames)
    return BayLayout(bay, ground.frame, profile.designator, named, openings, find_spans(ground), None)


def _order(member: Member, frames: Sequence[FramedSet]) -> Order:
    """R12: line by line from the start edge out; an opening's members together, tails after their header."""
    for frame in frames:
        place = _place_in(member, frame)
        if place is not None:
            low, _ = frame.trimmers
            return frame.bent.line, low.centre_16, 1, place, member.centre_16, member.low_16
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
        replace(
            member,
            id=names[member.id],
            low=replace(member.low, host=names.get(member.low.host, member.low.host)),
            high=replace(member.high, host=names.get(member.high.host, member.high.host)),
        )
        for member in ordered
    )
    return named, names


def _renamed(framed: FramedOpening, names: Mapping[str, str]) -> FramedOpening:
    return replace(
        framed,
        trimmer_low=names[framed.trimmer_low],
        trimmer_high=names[framed.trimmer_high],
        header_low=names[framed.header_low] if framed.header_low else None,
        header_high=names[framed.header_high] if framed.header_high else None,
    )


def _refuse_spans(plan: FloorPlan, members: Sequence[Member], frame: Frame) -> None:
    """R51: a member whose bearings leave no clear span between them."""
    for member in members:
        faces = [member.low.face_16]
        faces += [face for c in member.crossings for face in (c.low_face_16, c.high_face_16)]
        faces.append(member.high.face_16)
        clear = min(high - low for low, high in zip(faces[::2], faces[1::2], strict=True))
        if clear <= 0:
            at, _ = member.plan_ends(frame)
            length = format_length(clear, plan.units)
            words = f"A joist's clear span is {length} between its bearings; move the bearings apart."
            raise FloorRefused((Problem("outline", words, at.x_16, at.y_16),))


def _refuse_long(plan: FloorPlan, members: Sequence[Member], practice: Practice) -> None:
    longest = max(members, key=lambda member: member.length_16)
    if longest.length_16 > practice.longest_piece_16:
        length = format_length(longest.length_16, plan.units)
        limit = format_length(practice.longest_piece_16, plan.units)
        words = (
            f"A joist would be {length} long; the longest piece is {limit}. Add a bearing or turn the joists."
        )
        raise FloorRefused((Problem("outline", words),))
