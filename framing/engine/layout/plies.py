"""Which key of `layout_floor`'s plies a built-up member answers to."""

from __future__ import annotations

from framing.engine.floor import FloorPlan
from framing.engine.layout.frame_maker import HEADER_HIGH, HEADER_LOW, TRIMMER_HIGH, TRIMMER_LOW
from framing.engine.members import BayLayout, MemberKind

BEAM = "beam"


def beam_key(support: str) -> str:
    """Key of a flush beam; also its member id until it is named."""
    return f"{support}:{BEAM}"


def ply_keys(plan: FloorPlan, layout: BayLayout) -> dict[str, str]:
    """Key by member id, for trimmers, headers, flush beams and bearing partitions' joists (R7, R8)."""
    keys: dict[str, str] = {}
    # The widest first, as they are framed: a trimmer that two share is the wider opening's.
    for framed in sorted(layout.openings, key=lambda o: o.across_low_16 - o.across_high_16):
        parts = {
            TRIMMER_LOW: framed.trimmer_low,
            TRIMMER_HIGH: framed.trimmer_high,
            HEADER_LOW: framed.header_low,
            HEADER_HIGH: framed.header_high,
        }
        for part, member in parts.items():
            if member is not None:
                keys.setdefault(member, f"{framed.opening}:{part}")
    keys |= {member: beam_key(support) for support, member in layout.beams}
    for partition in plan.partitions:
        across = {layout.frame.across_16(point) for point in (partition.start, partition.end)}
        if partition.bearing and len(across) == 1:
            keys |= {
                member.id: f"{partition.id}:joist"
                for member in layout.members
                if member.kind is MemberKind.JOIST and member.plies > 1 and member.centre_16 in across
            }
    return keys
