"""Walls out of drawn lines: two parallel faces are one wall with its width, a lone line is a wall's centre line.

Lengths in sixteenths of an inch.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from framing.projects.reading.loops_lines import Course, Run, courses_of, minus, overlap, total
from framing.projects.reading.loops_shapes import Spot, Stroke, far, off_line

THINNEST_16, THICKEST_16 = 56, 192
"""Faces of one wall stand 3 1/2 to 12 in apart."""
SHORTEST_16 = 192
"""A shorter piece than 12 in is no wall."""
DOOR_16 = 768
"""Pieces in line within 4 ft are one wall, if asked."""
_SLACK_16 = 1.0
_NEAR_16 = 4.0
_LINES_MOST, _PAIRS_MOST = 4000, 20_000  # beyond it a drawing is a scribble; what is over is not looked at


@dataclass(frozen=True, slots=True)
class Wall:
    """A wall's centre line; `width_16` None where a lone line was drawn."""

    a: Spot
    b: Spot
    width_16: float | None


@dataclass(frozen=True, slots=True)
class Walls:
    """Walls found.

    Attributes:
        walls: in order of place.
        joined: gaps closed between pieces in line; `apart`: such gaps of at most 4 ft that stay open.
        short: lines under 12 in that close no wall's end.
        faces: faces, or parts of them, without another face beside them.
    """

    walls: tuple[Wall, ...]
    joined: int = 0
    apart: int = 0
    short: int = 0
    faces: int = 0


@dataclass(frozen=True, slots=True)
class _Piece:
    """A wall on a course of its own: where its centre line lies, how wide it is, from where to where it runs.

    `faces` are the drawn stretches of its two faces, for what runs on past it.
    """

    off: float
    width: float | None
    run: Run
    faces: tuple[Run, ...] = ()


def find_walls(strokes: Sequence[Stroke], *, join: bool) -> Walls:
    """The walls that the strokes show; with `join` pieces in line at most 4 ft apart become one."""
    found: list[Wall] = []
    counts: Counter[str] = Counter()
    lone: list[Stroke] = []
    for courses in courses_of([s for s in strokes if not s.curved][:_LINES_MOST], _NEAR_16):
        pieces, rest, faces = _paired(courses)
        counts["faces"] += faces
        single = [_Piece(course.off, None, run) for course in rest for run in course.runs]
        long = [piece for piece in single if piece.run[1] - piece.run[0] >= SHORTEST_16]
        lone += [_stroke(courses[0], piece) for piece in single if piece not in long]
        merged, joined, apart = _in_line([*pieces, *long], join)
        counts.update(joined=joined, apart=apart)
        found += [
            Wall(line.a, line.b, piece.width) for piece in merged for line in (_stroke(courses[0], piece),)
        ]
    counts["short"] = sum(not _closes(stroke, found) for stroke in lone)
    walls = tuple(sorted(found, key=lambda wall: (wall.a, wall.b)))
    return Walls(walls, counts["joined"], counts["apart"], counts["short"], counts["faces"])


def _paired(courses: Sequence[Course]) -> tuple[list[_Piece], list[Course], int]:
    """Walls of two faces; courses that are no face of any; parts of faces over 12 in that have no other face.

    The thickness of which most is drawn goes first, of equal ones the thinner.
    """
    able = list(islice(_able(courses), _PAIRS_MOST))
    drawn: Counter[int] = Counter()
    for one, other in able:
        drawn[_thick(courses, one, other)] += round(total(overlap(courses[one].runs, courses[other].runs)))
    able.sort(key=lambda pair: (-drawn[_thick(courses, *pair)], _thick(courses, *pair), pair))
    free = {number: list(course.runs) for number, course in enumerate(courses)}
    pieces: list[_Piece] = []
    for one, other in able:
        for run in overlap(free[one], free[other]):
            if run[1] - run[0] < SHORTEST_16:
                continue
            low, high = courses[one].off, courses[other].off
            faces = (*courses[one].runs, *courses[other].runs)
            pieces.append(_Piece((low + high) / 2, high - low, run, faces))
            free[one], free[other] = minus(free[one], run), minus(free[other], run)
    used = {number for number in free if free[number] != list(courses[number].runs)}
    half = sum(run[1] - run[0] >= SHORTEST_16 for number in used for run in free[number])
    return pieces, [course for number, course in enumerate(courses) if number not in used], half


def _able(courses: Sequence[Course]) -> Iterator[tuple[int, int]]:
    """Pairs of courses as far apart as the faces of a wall."""
    for one, course in enumerate(courses):
        for other in range(one + 1, len(courses)):
            apart = courses[other].off - course.off
            if apart > THICKEST_16 + _SLACK_16:
                break
            if apart >= THINNEST_16 - _SLACK_16:
                yield one, other


def _thick(courses: Sequence[Course], one: int, other: int) -> int:
    """Distance of two courses in eighths of an inch."""
    return round((courses[other].off - courses[one].off) / 2)


def _in_line(pieces: Iterable[_Piece], join: bool) -> tuple[list[_Piece], int, int]:
    """Pieces of one wall joined: where a face runs on past the gap, and with `join` over at most 4 ft."""
    merged: list[_Piece] = []
    joined = apart = 0
    for piece in sorted(pieces, key=lambda piece: (round(piece.off / 2), piece.run)):
        last = merged[-1] if merged else None
        gap = (last.run[1], piece.run[0]) if last is not None and _same(last, piece) else None
        if last is None or gap is None or gap[1] - gap[0] > DOOR_16:
            merged.append(piece)
            continue
        faced = any(low <= gap[0] + _NEAR_16 and gap[1] - _NEAR_16 <= high for low, high in last.faces)
        through = gap[1] - gap[0] <= _NEAR_16 or (faced and gap[1] - gap[0] <= THICKEST_16)
        if through or join:
            merged[-1] = replace(last, run=(last.run[0], max(last.run[1], piece.run[1])))
            joined += not through
        else:
            merged.append(piece)
            apart += 1
    return merged, joined, apart


def _same(one: _Piece, other: _Piece) -> bool:
    """Whether two pieces in order are of one wall by place and width."""
    widths = (one.width, other.width)
    alike = widths == (None, None) or (None not in widths and abs(widths[0] - widths[1]) <= 2)  # type: ignore[operator]
    return alike and abs(one.off - other.off) <= 2


def _stroke(course: Course, piece: _Piece) -> Stroke:
    (low, high), (ux, uy), off = piece.run, course.way, piece.off
    return Stroke((ux * low - uy * off, uy * low + ux * off), (ux * high - uy * off, uy * high + ux * off))


def _closes(stroke: Stroke, walls: Sequence[Wall]) -> bool:
    """Whether a short line lies in a wall or closes its end."""
    return any(_on(stroke.a, wall) and _on(stroke.b, wall) for wall in walls)


def _on(spot: Spot, wall: Wall) -> bool:
    half, length = (wall.width_16 or 0.0) / 2 + _NEAR_16, far(wall.a, wall.b)
    along = (spot[0] - wall.a[0]) * (wall.b[0] - wall.a[0]) + (spot[1] - wall.a[1]) * (wall.b[1] - wall.a[1])
    return abs(off_line(spot, wall.a, wall.b)) <= half and -_NEAR_16 <= along / length <= length + _NEAR_16
