"""Marks, install sequence and pieces (R11, R12)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from framing.engine.catalogue import JoistProfile
from framing.engine.floor import FloorPlan
from framing.engine.layout.holes import leave_out, punch
from framing.engine.members import BayLayout, EndKind, Member, Piece
from framing.engine.practice import Practice
from framing.engine.standing import stood_on


def assign_marks(
    plan: FloorPlan,
    layouts: Sequence[BayLayout],
    profiles: Mapping[str, JoistProfile],
    practice: Practice,
    left_out: Mapping[str, Mapping[int, str]] | None = None,
) -> tuple[BayLayout, ...]:
    """The bays with holes punched, members numbered in install order and marked.

    `left_out` are holes that fail a check: by member id the place from its printed end, and the reason (R10).

    Pieces of equal kind, profile, length and holes share a mark; all ends are cut square, so that end
    preparation never differs. Plies do not part marks: each ply is a piece of its own.
    """
    standing = stood_on(plan, layouts, practice)
    punched = [
        leave_out(punch(plan, layout, profiles[layout.bay.id], practice, standing), left_out or {})
        for layout in layouts
    ]
    marks: dict[tuple[object, ...], str] = {}
    counts: dict[str, int] = {}
    sequence = 0
    marked = []
    for layout in punched:
        members = []
        for member in layout.members:
            key = (member.kind, member.profile, member.length_16, member.holes_16)
            if key not in marks:
                counts[member.kind] = counts.get(member.kind, 0) + 1
                marks[key] = f"{plan.level}{member.kind}{counts[member.kind]:02d}"
            sequence += 1
            members.append(replace(member, mark=marks[key], sequence=sequence))
        marked.append(replace(layout, members=tuple(members)))
    return tuple(marked)


def list_pieces(plan: FloorPlan, layouts: Sequence[BayLayout]) -> tuple[Piece, ...]:
    """Every C-section of the floor in install order, its plies one after the other."""
    pieces: list[Piece] = []
    for layout in layouts:
        zones = _zones(plan, layout)
        for member in layout.members:
            for ply in range(1, member.plies + 1):
                pieces.append(
                    Piece(
                        id=f"{member.id}/{ply}",
                        member=member.id,
                        mark=member.mark,
                        profile=member.profile,
                        length_16=member.length_16,
                        sequence=len(pieces) + 1,
                        zone=zones[member.id],
                    )
                )
    return tuple(pieces)


def _zones(plan: FloorPlan, layout: BayLayout) -> dict[str, str]:
    """Where each member goes, in words: the opening it frames, the flush beam it is, else its line of joists."""
    names = {opening.id: opening.name for opening in plan.openings}
    owner: dict[str, str] = {}
    for framed in layout.openings:
        parts = (framed.trimmer_low, framed.trimmer_high, framed.header_low, framed.header_high)
        owner |= {part: f"opening {names[framed.opening]}" for part in parts if part}
    owner |= {member: f"flush beam {support}" for support, member in layout.beams}
    bay = f"bay {layout.bay.id}, " if len(plan.bays) > 1 else ""
    return {
        member.id: f"{bay}{owner.get(_frame_of(member), f'line {member.line + 1}')}"
        for member in layout.members
    }


def _frame_of(member: Member) -> str:
    """The member that tells which opening this one belongs to: a tail's header, else itself."""
    for end in (member.low, member.high):
        if end.kind is EndKind.HEADER:
            return end.host
    return member.id
