"""The sheet: its size and scale, the frame, the title strip with the caution line, arrows and scale bar."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

from framing.drawing.labels import TEXT
from framing.drawing.paper import MM_PER_16, Box, Spot, Stroke, View
from framing.drawing.svg import Canvas, look, text_width
from framing.engine.floor import Units
from framing.engine.geometry import Point

_SEAL = (
    "A selling aid: a licensed engineer must check and seal this framing where the local code asks for it; "
    "local codes rule."
)
_SAFETY = (
    "Nobody walks on or loads the floor before it is braced and sheathed. Lift only at marked points. "
    "No site-cut holes without the engineer's word."
)
CAUTION = (_SEAL, _SAFETY)
STRIP = 20.6  # height of the title strip in mm
PADDING = 1.5  # at the left and right of its cells
VALUE = 3.4  # usual size of what stands in them
CELLS = {"Date": 24.0, "Revision": 18.0, "Sheet": 22.0}  # widths in mm, by head
DOT = "\N{MIDDLE DOT}"
_GRAIN = 1e-6  # mm: sizes are worked out from widths and back
KEY = 5.0  # height of the key above it
_SCALES: dict[Units, tuple[tuple[float, str], ...]] = {
    "imperial": (
        (24, "1/2\" = 1'-0\""), (32, "3/8\" = 1'-0\""), (48, "1/4\" = 1'-0\""), (64, "3/16\" = 1'-0\""),
        (96, "1/8\" = 1'-0\""), (128, "3/32\" = 1'-0\""), (192, "1/16\" = 1'-0\""),
        (256, "3/64\" = 1'-0\""), (384, "1/32\" = 1'-0\""), (768, "1/64\" = 1'-0\""),
    ),
    "metric": tuple(
        (float(n), f"1 : {n}") for n in (20, 25, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000)
    ),
}  # fmt: skip
_BARS: dict[Units, tuple[tuple[int, str], ...]] = {
    "imperial": ((192 * 4, "4 ft"), (192 * 8, "8 ft"), (192 * 16, "16 ft"), (192 * 32, "32 ft")),
    "metric": ((630, "1 m"), (1260, "2 m"), (3150, "5 m"), (6299, "10 m")),
}


@dataclass(frozen=True, slots=True)
class Paper:
    """A drawing area in mm."""

    width: float
    height: float


SMALL = Paper(254.0, 184.0)  # fits Letter and A4 landscape with half-inch margins
MEDIUM = Paper(394.0, 254.0)  # fits Tabloid and A3 landscape
LARGE = Paper(812.0, 530.0)  # fits ANSI D and A1 landscape


@dataclass(frozen=True, slots=True)
class SheetInfo:
    """What the title strip says; `north_deg` is clockwise from the top, None where it is not known."""

    project: str
    floor: str
    date: str = ""
    revision: str = ""
    number: int = 1
    count: int = 1
    company: str = ""
    north_deg: float | None = None
    caution: tuple[str, ...] = CAUTION
    paper: Paper = SMALL


@dataclass(frozen=True, slots=True)
class Fitted:
    """A view with its scale's words and the outline's box on the paper."""

    view: View
    words: str
    outline: Box


def fit(low: Point, high: Point, field: Box, units: Units) -> Fitted:
    """The largest usual scale at which the plan fits the field, set in the field's middle."""
    width, height = high.x_16 - low.x_16, high.y_16 - low.y_16
    least = max(width / field.width, height / field.height) * MM_PER_16
    scale, words = next((row for row in _SCALES[units] if row[0] >= least), _SCALES[units][-1])
    factor = MM_PER_16 / scale
    left = field.left + (field.width - width * factor) / 2
    bottom = field.bottom - (field.height - height * factor) / 2
    view = View(scale, low, Spot(left, bottom))
    return Fitted(view, words, Box(left, bottom - height * factor, left + width * factor, bottom))


def shortened(text: str, size: float, width: float) -> str:
    """A text that fits a width, cut with an ellipsis where it must be."""
    most = width + _GRAIN
    if text_width(text, size, mono=False) <= most:
        return text
    kept = text
    while kept and text_width(kept + "…", size, mono=False) > most:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def strip_size(head: str, text: str) -> float:
    """The size at which a text stands in a cell of the title strip of a width of its own, by the cell's head."""
    return fitting_size(text, VALUE, CELLS[head] - 2 * PADDING)


def fitting_size(text: str, size: float, width: float) -> float:
    """The text size at which a text fits a width: `size`, or less down to the least on paper."""
    full = text_width(text, size, mono=False)
    return size if full <= width else max(TEXT, size * width / full)


def set_in_cell(text: str, size: float, width: float) -> tuple[float, tuple[str, ...]]:
    """Size and lines of a text in a cell of the title strip: one line, or two of the least size where it is longer.

    It is cut only where two lines are not enough.
    """
    one = fitting_size(text, size, width)
    if text_width(text, one, mono=False) <= width + _GRAIN:
        return one, (text,)
    return TEXT, tuple(shortened(half, TEXT, width) for half in _halves(text) if half)


def _halves(text: str) -> tuple[str, str]:
    """The text in two lines, parted between company and project, else at the space nearest to its middle."""
    before, dot, after = text.partition(f" {DOT} ")
    if dot:
        return before, after
    spaces = [place for place, sign in enumerate(text) if sign == " "]
    if not spaces:
        return text, ""
    place = min(spaces, key=lambda place: abs(2 * place - len(text)))
    return text[:place], text[place + 1 :]


def draw_frame(canvas: Canvas, info: SheetInfo, words: str, units: Units) -> None:
    """Thin double border and the title strip."""
    paper = info.paper
    canvas.raw(f'<rect x="0" y="0" width="{paper.width:g}" height="{paper.height:g}"{look("dw-sheet")}/>')
    strip = paper.height - STRIP - 1.5
    canvas.open("dw-frame")
    for margin in (0.5, 1.5):
        canvas.rect(Box(margin, margin, paper.width - margin, paper.height - margin))
    cells = _cells(info, words, units)
    lines = [Stroke(Spot(1.5, strip), Spot(paper.width - 1.5, strip))]
    caution_top = strip + STRIP - 4.0 * len(info.caution) - 1.0
    lines.append(Stroke(Spot(1.5, caution_top), Spot(paper.width - 1.5, caution_top)))
    lines += [Stroke(Spot(x, strip), Spot(x, caution_top)) for x, *_ in cells[1:]]
    canvas.strokes(lines)
    canvas.close()
    for x, width, head, value, most in cells:
        left, room = x + PADDING, width - 2 * PADDING
        canvas.text(head, Spot(left, strip + 2.6), TEXT, "dw-text", anchor="start")
        size, rows = set_in_cell(value, most, room)
        middles = (7.9,) if len(rows) == 1 else (6.3, 9.6)
        for row, middle in zip(rows, middles, strict=True):
            canvas.text(row, Spot(left, strip + middle), size, "dw-title", anchor="start", bold=True)
    for index, line in enumerate(info.caution):
        place = Spot(3.0, caution_top + 2.6 + 4.0 * index)
        canvas.text(shortened(line, TEXT, paper.width - 6), place, TEXT, "dw-text", anchor="start")


def _cells(info: SheetInfo, words: str, units: Units) -> list[tuple[float, float, str, str, float]]:
    """Left edge, width, head, value and text size of the cells; project and floor share what is left over."""
    sheet = f"{info.number} of {info.count}"
    lengths = "feet and inches" if units == "imperial" else "millimetres"
    fixed = (
        (32.0, "Scale, full size", words, VALUE), (32.0, "Lengths", lengths, 3.0),
        *((CELLS[head], head, value, VALUE) for head, value in (
            ("Date", info.date), ("Revision", info.revision), ("Sheet", sheet),
        )),
    )  # fmt: skip
    rest = info.paper.width - 3.0 - sum(width for width, *_ in fixed)
    project = f"{info.company} {DOT} {info.project}" if info.company else info.project
    cells: list[tuple[float, float, str, str, float]] = []
    x = 1.5
    for width, head, value, size in (
        (rest * 0.58, "Project", project, 4.2),
        (rest * 0.42, "Floor", info.floor, 4.2),
        *fixed,
    ):
        cells.append((x, width, head, value, size))
        x += width
    return cells


def draw_scale_bar(canvas: Canvas, right: float, middle: float, view: View, units: Units) -> None:
    """A bar of two halves, one filled, about 20 to 45 mm long."""
    length_16, words = next((bar for bar in _BARS[units] if view.mm(bar[0]) >= 18), _BARS[units][-1])
    whole = view.mm(length_16)
    label = text_width(words, TEXT, mono=False) + 1.5
    left = right - whole - label
    canvas.open("dw-line", {"data-bar-16": str(length_16)})
    canvas.rect(Box(left, middle - 0.6, left + whole, middle + 0.6))
    canvas.rect(Box(left, middle - 0.6, left + whole / 2, middle + 0.6), {"fill": "currentColor"})
    canvas.close()
    canvas.text(words, Spot(right, middle), TEXT, "dw-text", anchor="end")


def draw_north(canvas: Canvas, centre: Spot, degrees: float) -> None:
    """A needle in a circle of 9 mm with an N at its point."""
    angle = radians(degrees)
    way, side = Spot(sin(angle), -cos(angle)), Spot(cos(angle), sin(angle))
    tip = centre.moved(way.x * 3.6, way.y * 3.6)
    tail = centre.moved(-way.x * 3.6, -way.y * 3.6)
    canvas.open("dw-line")
    canvas.circle(centre, 3.6)
    canvas.strokes((Stroke(tail, tip),))
    canvas.close()
    wings = (centre.moved(side.x * 1.2, side.y * 1.2), centre.moved(-side.x * 1.2, -side.y * 1.2))
    canvas.polygon((tip, *wings), {"class": "dw-end", "fill": "currentColor", "stroke": "none"})
    canvas.text("N", centre.moved(way.x * 5.4, way.y * 5.4), TEXT, "dw-text", bold=True)
