"""Rows of joist elevations: what is drawn of each mark, at which scale and how tall."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from framing.drawing.labels import TEXT
from framing.drawing.paper import MM_PER_16
from framing.drawing.stretch import Stretch, lay_stretch
from framing.drawing.svg import TIMES, text_width
from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.floor import Units
from framing.engine.members import EndKind
from framing.engine.result import FloorResult, ScheduleLine
from framing.engine.units import format_length

SCALES: dict[Units, tuple[tuple[float, str], ...]] = {
    "imperial": ((24.0, '1/2" = 1\'-0"'), (32.0, '3/8" = 1\'-0"'), (48.0, '1/4" = 1\'-0"')),
    "metric": ((25.0, "1 : 25"), (30.0, "1 : 30"), (50.0, "1 : 50")),
}
KINDS = {"J": "joist", "T": "trimmer", "H": "header", "B": "flush beam", "K": "block"}
WIDTH = 246.0  # mm that a row may take
LEFT, LINE = 8.0, 4.2
APART = 14.0  # mm between two marks beside each other
_SHALLOW = 6.0  # least depth of a member on paper in mm
_HEAD, LETTERS, TICK, AIR = 5.2, 3.6, 3.0, 4.5
LETTER_ROW = 2.8  # mm from row to row of the letters at left-out holes
_LETTER_APART = 4.0  # mm from one letter to the next, two signs wide


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A hole that members of a mark go without: where, why, and how many of them."""

    place_16: int
    reason: str
    members: int


@dataclass(frozen=True, slots=True)
class Elevation:
    """One mark, ready to draw: its stretch on paper and how its texts stand."""

    line: ScheduleLine
    profile: JoistProfile
    left_out: tuple[LeftOut, ...]
    units: Units
    stretch: Stretch
    turned: bool
    ends: str = ""

    @property
    def depth(self) -> float:
        """In mm on the paper."""
        return self.profile.depth_in * 25.4 / self.stretch.scale

    @property
    def words(self) -> tuple[str, ...]:
        """Lines under the drawing: which holes are left out and why, and ends with no wall over them."""
        return (*_left_out_words(self), *([self.ends] if self.ends else []))

    @property
    def head(self) -> str:
        """What it is, profile and plies, how many."""
        line = self.line
        plies = f"{line.plies} {TIMES} {line.profile}, one ply drawn" if line.plies > 1 else line.profile
        pieces = f"{line.pieces} piece" + ("s" if line.pieces != 1 else "")
        places = f" in {line.members} place" + ("s" if line.members != 1 else "") if line.plies > 1 else ""
        return f"{KINDS[line.kind.value]}, {plies}, {pieces}{places}"

    @property
    def left(self) -> float:
        return self.stretch.start

    @property
    def width(self) -> float:
        """From the printed end to the right of all that is drawn and written."""
        head = text_width(self.line.mark, 4.0, mono=True) + 3.0 + text_width(self.head, TEXT, mono=False)
        words = [text_width(words, TEXT, mono=False) for words in self.words]
        length = text_width(format_length(self.line.length_16, self.units), TEXT, mono=True)
        drawn = self.stretch.length
        return max(drawn if drawn > length + 2.0 else drawn + length + 2.0, head, *words)

    @property
    def height(self) -> float:
        return _HEAD + self._letters + self.depth + self.foot + LINE * len(self.words) + AIR

    @property
    def _letters(self) -> float:
        return LETTERS + LETTER_ROW * max(self.letter_rows) if self.left_out else 0.0

    @property
    def letter_rows(self) -> tuple[int, ...]:
        """The row that each left-out hole's letter stands in: over the one before it where that is too close."""
        rows: list[int] = []
        for hole in self.left_out:
            near = self.stretch.x(hole.place_16) - _LETTER_APART
            taken = {
                row
                for row, other in zip(rows, self.left_out, strict=False)
                if self.stretch.x(other.place_16) > near
            }
            rows.append(next(row for row in range(len(rows) + 1) if row not in taken))
        return tuple(rows)

    @property
    def top(self) -> float:
        """From the row's top to the member's upper flange."""
        return _HEAD + self._letters

    @property
    def foot(self) -> float:
        """From the lower flange to the end of the strings."""
        return (self.tall + TICK + 1.0 if self.line.holes_16 else 1.5) + 6.0

    @property
    def tall(self) -> float:
        """Height of the running lengths' texts."""
        widths = [text_width(format_length(p, self.units), TEXT, mono=True) for p in self.line.holes_16]
        return max(widths) if self.turned and widths else 2.2


def letter(index: int) -> str:
    """a to z, then aa, ab, ..."""
    first, last = divmod(index, 26)
    return (chr(96 + first) if first else "") + chr(97 + last)


def _left_out_words(row: Elevation) -> Iterator[str]:
    """Left-out holes by reason, wrapped to the row's width."""
    groups: dict[tuple[str, int], list[str]] = {}
    for index, hole in enumerate(row.left_out):
        words = f"{letter(index)} at {format_length(hole.place_16, row.units)}"
        groups.setdefault((hole.reason, hole.members), []).append(words)
    text = "; ".join(
        f"{', '.join(words)} {reason}" + ("" if count == row.line.members else f" (in {count} of them)")
        for (reason, count), words in groups.items()
    )
    most = int((WIDTH - 2 * LEFT) / text_width("n", TEXT, mono=False))
    line = "Left out:"
    for word in text.split():
        if len(line) + len(word) >= most:
            yield line
            line = "   "
        line += f" {word}"
    if text:
        yield line


def _elevation(result: FloorResult, line: ScheduleLine, profile: JoistProfile, scale: float) -> Elevation:
    left_out, units = _left_out(result, line.mark), result.plan.units
    places = [*line.holes_16, *(hole.place_16 for hole in left_out)]
    stretch = lay_stretch(LEFT, line.length_16, places, scale, WIDTH - 2 * LEFT)
    xs = [stretch.x(place) for place in line.holes_16]
    widths = [text_width(format_length(place, units), TEXT, mono=True) for place in line.holes_16]
    tight = any(
        b - a < (one + other) / 2 + 1.6
        for (a, b), (one, other) in zip(pairwise(xs), pairwise(widths), strict=True)
    )
    outside = bool(xs) and (xs[0] - widths[0] / 2 < 1 or xs[-1] + widths[-1] / 2 > WIDTH - 1)
    return Elevation(line, profile, left_out, units, stretch, tight or outside, _end_words(result, line.mark))


def _end_words(result: FloorResult, mark: str) -> str:
    """Ends at a flush beam or a free edge, which take a clip angle and no nails (R20, R21)."""
    members = [member for member in result.members if member.mark == mark]
    words = []
    for end, pick in (("printed end", "low"), ("far end", "high")):
        kinds = [getattr(member, pick).kind for member in members]
        for kind, place in ((EndKind.FLUSH, "at a flush beam"), (EndKind.FREE, "at a free edge")):
            if kind in kinds:
                few = "" if kinds.count(kind) == len(kinds) else f" (in {kinds.count(kind)} of them)"
                words.append(f"{end} {place}{few}")
    text = ", ".join(words)
    return f"{text[0].upper()}{text[1:]}: clip angle, no nails." if text else ""


def elevations(result: FloorResult, catalogue: Catalogue) -> tuple[Elevation, ...]:
    """One for each mark, in the order of the schedule."""
    scale = scale_for(result, catalogue)[0]
    return tuple(_elevation(result, line, catalogue.profile(line.profile), scale) for line in result.schedule)


def scale_for(result: FloorResult, catalogue: Catalogue) -> tuple[float, str]:
    """One scale for all marks of a floor: the largest at which the longest fits unbroken.

    None is so small that the shallowest member could not be read; longer ones are broken then.
    """
    scales = SCALES[result.plan.units]
    longest = max((line.length_16 for line in result.schedule), default=0) * MM_PER_16
    shallow = min((catalogue.profile(line.profile).depth_in * 25.4 for line in result.schedule), default=0.0)
    legible = [row for row in scales if shallow / row[0] >= _SHALLOW] or [scales[0]]
    return next((row for row in legible if longest / row[0] <= WIDTH - 2 * LEFT), legible[-1])


def _left_out(result: FloorResult, mark: str) -> tuple[LeftOut, ...]:
    counted = Counter(hole for member in result.members if member.mark == mark for hole in member.omitted)
    return tuple(LeftOut(place, reason, count) for (place, reason), count in sorted(counted.items()))
