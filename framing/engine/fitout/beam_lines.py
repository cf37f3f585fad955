"""Where flush beams lie under whose sheathing (R30).

A beam on a border is one bay's member, but the sheathing of the bays beside it ends on it. It is nailed once: by
the bay whose floor lies just beyond it, else by the bay just before it. Bays that it runs along do not count.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from framing.engine.fitout.intervals import Interval, clip, subtract
from framing.engine.fitout.scene import Scene
from framing.engine.geometry import Frame
from framing.engine.lean import Number
from framing.engine.members import Member, MemberKind


@dataclass(frozen=True, slots=True)
class BeamLine:
    """A stretch of a flush beam in the frame of the bay whose sheathing is nailed to it."""

    along_16: int
    low_16: Number
    high_16: Number


def beam_lines(scenes: Sequence[Scene]) -> tuple[tuple[BeamLine, ...], ...]:
    """Of each bay, in order, the beams that its sheathing is nailed to."""
    found: list[list[BeamLine]] = [[] for _ in scenes]
    for host in scenes:
        for beam in host.members:
            if beam.kind is MemberKind.BEAM and beam.runs == "across":
                for number, line in _parts(beam, host, scenes):
                    found[number].append(line)
    return tuple(tuple(lines) for lines in found)


def _parts(beam: Member, host: Scene, scenes: Sequence[Scene]) -> Iterator[tuple[int, BeamLine]]:
    """Stretches of one beam, first those with floor just beyond, then what is left with floor just before."""
    left: list[Interval] = [(beam.low_16, beam.high_16)]
    for just in (0, -1):
        for number, scene in enumerate(scenes):
            if scene.frame.axis != host.frame.axis:
                continue
            floors = [_over(host.frame, scene.frame, part) for part in _floors(scene, beam.centre_16, just)]
            for floor in floors:
                for part in left:
                    if (common := clip(part, floor)) is not None:
                        low, high = _over(scene.frame, host.frame, common)
                        yield number, BeamLine(beam.centre_16, low, high)
            left = [rest for part in left for rest in subtract(part, floors)]


def _floors(scene: Scene, along_16: int, just: int) -> list[Interval]:
    """Where across a bay has floor just beyond a line (`just` 0), or just before it (-1)."""
    pairs = scene.shape.across_at(along_16 + just)
    return [(low.across_at(along_16), high.across_at(along_16)) for low, high in pairs]


def _over(to: Frame, of: Frame, part: Interval) -> Interval:
    """A stretch across in one bay's frame as another bay's frame has it."""
    low, high = sorted(_across(to, of, value) for value in part)
    return low, high


def _across(to: Frame, of: Frame, across_16: Number) -> Number:
    other = of.start_16 - across_16 if of.reverse else of.start_16 + across_16
    return to.start_16 - other if to.reverse else other - to.start_16
