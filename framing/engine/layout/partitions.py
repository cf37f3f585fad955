"""Joists under bearing partitions that run with the joists (R8)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from framing.engine.catalogue import JoistProfile
from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import FloorPlan, Partition
from framing.engine.layout.ground import Ground
from framing.engine.layout.stops import Stop, find_bents, find_chains, with_overhang
from framing.engine.lean import cut_16
from framing.engine.members import EndKind, Member, MemberKind


def carry_partitions(
    plan: FloorPlan, ground: Ground, profile: JoistProfile, plies: Mapping[str, int]
) -> tuple[Member, ...]:
    """The joists under bearing partitions that run with the joists (R8), one per span that one stands on.

    Where one partition stands on two spans, its joists are in line, so they butt at the bearing between.
    Raises FloorRefused where such a partition stands on no joist span of a floor of one bay.
    """
    members: list[Member] = []
    for index, partition in enumerate(plan.partitions):
        ends = [ground.frame.across_16(p) for p in (partition.start, partition.end)]
        if partition.bearing and ends[0] == ends[1]:
            made = _partition_joists(partition, ground, profile, plies)
            if not made and len(plan.bays) == 1:
                words = f"Bearing partition {partition.id} stands on no joist span; draw it on the floor."
                at = partition.start
                raise FloorRefused((Problem(f"partitions.{index}", words, at.x_16, at.y_16),))
            members += made
    return tuple(members)


def _partition_joists(
    partition: Partition, ground: Ground, profile: JoistProfile, plies: Mapping[str, int]
) -> list[Member]:
    practice = ground.practice
    centre = ground.frame.across_16(partition.start)
    start, end = sorted(ground.frame.along_16(p) for p in (partition.start, partition.end))
    count = plies.get(f"{partition.id}:joist", practice.plies_default)
    width = count * profile.flange_16
    made: list[Member] = []
    for reach in ground.reaches(centre):
        bents = find_bents(ground, centre, reach)
        stood_on = [b for b in bents if b.low.high_face_16 < end and start < b.high.low_face_16]
        for stretch in find_chains(stood_on):
            chain = with_overhang(bents, stretch)
            first, last = chain[0].low, chain[-1].high
            first = _butted(first) if any(b.high.host == first.host for b in stood_on) else first
            last = _butted(last) if any(b.low.host == last.host for b in stood_on) else last
            low, high = first.leaving(practice, width), last.arriving(practice, width)
            low_16, high_16 = cut_16(low[0], high[0])
            made.append(
                Member(
                    id=f"{partition.id}:joist:{chain[0].row}",
                    kind=MemberKind.JOIST,
                    bay=ground.bay.id,
                    profile=profile.designator,
                    plies=count,
                    runs="along",
                    centre_16=centre,
                    width_16=width,
                    low_16=low_16,
                    high_16=high_16,
                    low=low[1],
                    high=high[1],
                    crossings=tuple(bent.high.crossing() for bent in chain[:-1]),
                    line=chain[0].line,
                    why=f"R8 joist under bearing partition {partition.id}",
                )
            )
    return made


def _butted(stop: Stop) -> Stop:
    return stop if stop.end is EndKind.FLUSH else replace(stop, end=EndKind.BUTT)
