"""Service holes on a grid common to the bay (R10)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import ceil

from framing.engine.catalogue import JoistProfile
from framing.engine.floor import FloorPlan
from framing.engine.layout.hole_grid import Pattern, best_phase
from framing.engine.members import BayLayout, EndKind, Member
from framing.engine.practice import Practice
from framing.engine.standing import Stood
from framing.engine.units import SIXTEENTHS_PER_INCH


def punch(
    plan: FloorPlan,
    layout: BayLayout,
    profile: JoistProfile,
    practice: Practice,
    standing: Sequence[Stood] = (),
) -> BayLayout:
    """The bay with its holes and the ones left out; `standing` are the floor's point loads on their members.

    The phase gives the most grid lines on which every joist has its hole, then the fewest distinct marks,
    then the most holes; among equals a whole inch from the bay's low outline, then the least.
    """
    holes_fit = 0 < profile.hole_depth_in <= profile.depth_in / 2 and profile.hole_length_in > 0
    runners = [member for member in layout.members if member.runs == "along"]
    if not holes_fit or not runners:
        return layout
    clear_16 = practice.hole_clear_16 + ceil(profile.hole_length_in * 8)
    plate_16 = ceil(practice.load_plate_in * SIXTEENTHS_PER_INCH / 2)
    pressed = [(s.member.id, s.place_16, plate_16 + clear_16) for s in standing]
    patterns = {
        m.id: _pattern(
            m, plan, layout, clear_16, [(at - off, at + off) for id_, at, off in pressed if id_ == m.id]
        )
        for m in runners
    }
    distinct = sorted(set(patterns.values()), key=lambda p: (p.kind, p.low_16, p.high_16, p.kept_off))
    origin = min(member.low_16 for member in runners) - practice.rim_thickness_16 - practice.end_clearance_16
    phase = best_phase(distinct, practice.hole_pitch_16, origin)
    some = _allowed_anywhere(distinct, phase, practice.hole_pitch_16)
    members = tuple(
        _punched(m, patterns[m.id], phase, practice.hole_pitch_16, some) if m.id in patterns else m
        for m in layout.members
    )
    return replace(layout, members=members, hole_phase_16=phase % practice.hole_pitch_16)


def leave_out(layout: BayLayout, left_out: Mapping[str, Mapping[int, str]]) -> BayLayout:
    """The bay without the holes that fail a check, each kept among the omitted ones with its reason."""
    members = tuple(_without(m, left_out[m.id]) if m.id in left_out else m for m in layout.members)
    return replace(layout, members=members)


def _without(member: Member, failing: Mapping[int, str]) -> Member:
    omitted = (*member.omitted, *((hole, failing[hole]) for hole in member.holes_16 if hole in failing))
    return replace(
        member,
        holes_16=tuple(hole for hole in member.holes_16 if hole not in failing),
        omitted=tuple(sorted(omitted)),
    )


def _pattern(
    member: Member, plan: FloorPlan, layout: BayLayout, clear_16: int, pressed: Sequence[tuple[int, int]]
) -> Pattern:
    far = 1 << 40
    kept = [
        (-far, member.low.face_16 + clear_16, _at(member.low.kind)),
        (member.high.face_16 - clear_16, far, _at(member.high.kind)),
    ]
    kept += [(c.low_face_16 - clear_16, c.high_face_16 + clear_16, "bearing") for c in member.crossings]
    for header in layout.members:
        if header.runs == "across" and member.id in (header.low.host, header.high.host):
            low = header.centre_16 - header.width_16 // 2
            kept.append((low - clear_16, low + header.width_16 + clear_16, "header"))
    for partition in plan.partitions:
        along = [layout.frame.along_16(point) for point in (partition.start, partition.end)]
        across = sorted(layout.frame.across_16(point) for point in (partition.start, partition.end))
        if partition.bearing and along[0] == along[1] and across[0] <= member.centre_16 <= across[1]:
            kept.append((along[0] - clear_16, along[0] + clear_16, "point load"))
    kept += [(low, high, "point load") for low, high in pressed]
    return Pattern(member.kind, member.low_16, member.high_16, tuple(kept))


def _at(kind: EndKind) -> str:
    return "header" if kind is EndKind.HEADER else "bearing"


def _allowed_anywhere(patterns: Sequence[Pattern], phase_16: int, pitch_16: int) -> frozenset[int]:
    return frozenset(
        along
        for pattern in patterns
        for along in pattern.grid(phase_16, pitch_16)
        if not pattern.reason(along)
    )


def _punched(member: Member, pattern: Pattern, phase: int, pitch: int, some: frozenset[int]) -> Member:
    holes, omitted = [], []
    for along in pattern.grid(phase, pitch):
        reason = pattern.reason(along)
        if not reason:
            holes.append(along - member.low_16)
        elif along in some:
            omitted.append((along - member.low_16, f"too near a {reason}"))
    return replace(member, holes_16=tuple(holes), omitted=tuple(omitted))
