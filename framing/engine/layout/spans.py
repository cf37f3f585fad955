"""The spans of a bay between bearing lines, for bridging (R24)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from framing.engine.layout.ground import Ground
from framing.engine.layout.stops import Bent, find_bents
from framing.engine.members import Span

Strip = tuple[int, int, int, int]


@dataclass(slots=True)
class _Gathered:
    """Strips of one span while they are collected, from the start edge outwards."""

    row: int
    strips: list[Strip] = field(default_factory=list)

    def takes(self, row: int, low_16: int, high_16: int) -> bool:
        return row == self.row and any(low < high_16 and low_16 < high for _, _, low, high in self.strips)

    def add(self, strip: Strip) -> None:
        for index, (across, end, low, high) in enumerate(self.strips):
            if end == strip[0] and (low, high) == strip[2:]:
                self.strips[index] = (across, strip[1], low, high)
                return
        self.strips.append(strip)

    def span(self, index: int) -> Span:
        _, _, low, high = max(self.strips, key=lambda strip: (strip[3] - strip[2], -strip[0]))
        return Span(index, low, high, tuple(sorted(self.strips)))


def find_spans(ground: Ground, stations: Sequence[int]) -> tuple[Span, ...]:
    """All spans, counted from the low bearing; each knows the strips of floor where its faces differ.

    Between corners of a square floor the faces stay the same; where a bearing is askew they are those on the
    joist lines at `stations`, each up to the next.
    """
    gathered: list[_Gathered] = []
    breaks = {w.across_low_16 for w in ground.walls} | {w.across_high_16 for w in ground.walls}
    breaks |= {place for line in ground.lines for place in (line.across_low_16, line.across_high_16)}
    inside = sorted(place for place in breaks if 0 <= place <= ground.across_high_16)
    for start, end in pairwise(inside):
        askew = _askew(ground, start)
        within = [place for place in stations if start < place < end] if askew else []
        for at, until in pairwise([start, *within, end]):
            # The first strip up to a joist line is told by that line: corners may have no length of floor.
            scan = until if askew and at == start and within else at
            for bent in _bents(ground, scan):
                low, high = bent.low.high_face_16, bent.high.low_face_16
                if low < high:
                    _home(gathered, bent.row, low, high).add((at, until, low, high))
    gathered.sort(key=lambda one: (one.row, min(strip[2] for strip in one.strips)))
    return tuple(one.span(index) for index, one in enumerate(gathered))


def _askew(ground: Ground, across_16: int) -> bool:
    """Whether a side or a bearing that covers a place stands askew to the joists."""
    sides = (w.track for w in ground.walls if w.across_low_16 <= across_16 < w.across_high_16)
    return any(
        track.lean.rise_16 for track in (*sides, *(x.track for x in ground.lines if x.covers(across_16)))
    )


def _bents(ground: Ground, across_16: int) -> Iterator[Bent]:
    for reach in ground.reaches(across_16):
        yield from find_bents(ground, across_16, reach)


def _home(gathered: list[_Gathered], row: int, low_16: int, high_16: int) -> _Gathered:
    for one in gathered:
        if one.takes(row, low_16, high_16):
            return one
    made = _Gathered(row)
    gathered.append(made)
    return made
