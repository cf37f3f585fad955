"""Plots for pages: grouped bars, lines with gaps, and bars in rows. Pure SVG text, one unit a CSS pixel.

What tells series apart is fill or dash and shape; a page may colour the classes `pl-0` to `pl-2` besides. A plot
never stands alone: the page shows the same numbers as a table.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.sax.saxutils import escape

from framing.drawing.paper import Box, Spot, Stroke
from framing.drawing.plot_marks import SERIES_MOST, draw_bar, draw_key, draw_line, draw_mark, key_rows
from framing.drawing.plot_scale import COUNT, Scale, scale_of, step_with_room, tick_words
from framing.drawing.svg import SANS, Attributes, Canvas, attributes, number, text_width

TEXT = 13.0
CATEGORIES_MOST = 240
_LINE, _PAD, _GAP = 1.5, 8.0, 5.0  # height of a line of text by its size; room beside labels; between labels
_KEY = 22.0
_FEW = 24  # up to so many places a mark is drawn large
_AXIS: Attributes = {"class": "pl-axis", "stroke": "currentColor", "stroke-width": 1.25, "fill": "none"}
_GRID: Attributes = {"class": "pl-grid", "stroke": "currentColor", "stroke-width": 1, "fill": "none"}
_ROW_BAR, _ROW_GAP = 14.0, 14.0


@dataclass(frozen=True, slots=True)
class Category:
    """A place along the axis: its label, what stands once under labels that share it (a year), its full name."""

    label: str
    under: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Series:
    """One value for each category; None where there is nothing to tell."""

    name: str
    values: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Plot:
    """What a plot shows. `unit` is "%" for shares, a currency's sign for money, "" for counts.

    Raises ValueError where categories and values do not fit together or are too many.
    """

    title: str
    desc: str
    categories: tuple[Category, ...]
    series: tuple[Series, ...]
    unit: str = COUNT

    def __post_init__(self) -> None:
        if not 1 <= len(self.categories) <= CATEGORIES_MOST:
            raise ValueError(f"a plot has 1 to {CATEGORIES_MOST} categories, not {len(self.categories)}")
        if not 1 <= len(self.series) <= SERIES_MOST:
            raise ValueError(f"a plot has 1 to {SERIES_MOST} series, not {len(self.series)}")
        if any(len(series.values) != len(self.categories) for series in self.series):
            raise ValueError("each series has one value for each category")

    @property
    def values(self) -> list[float]:
        return [value for series in self.series for value in series.values if value is not None]


@dataclass(frozen=True, slots=True)
class Row:
    """A bar of a list: what it is, how long it is, and the words at its end."""

    label: str
    value: float
    words: str


@dataclass(frozen=True, slots=True)
class PlotSize:
    width: float
    height: float


WIDE, NARROW = PlotSize(600.0, 260.0), PlotSize(344.0, 240.0)


@dataclass(frozen=True, slots=True)
class _Field:
    """Where values are drawn, and how they map to it."""

    box: Box
    scale: Scale
    count: int
    key: list[list[int]]

    @property
    def band(self) -> float:
        return self.box.width / self.count

    def x(self, index: int) -> float:
        return self.box.left + (index + 0.5) * self.band

    def y(self, value: float) -> float:
        return self.box.bottom - self.scale.share(value) * self.box.height


class _PlotCanvas(Canvas):
    """A canvas whose unit is a CSS pixel."""

    def document(self, title: str, desc: str, size: PlotSize) -> str:
        head: Attributes = {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "dw-plot",
            "role": "img",
            "viewBox": f"0 0 {number(size.width)} {number(size.height)}",
            "width": size.width,
            "height": size.height,
            "font-family": SANS,
        }
        words = f"<title>{escape(title)}</title>\n<desc>{escape(desc)}</desc>"
        return "\n".join((f"<svg{attributes(head)}>", words, *self._parts, "</svg>\n"))


def bars_svg(plot: Plot, size: PlotSize = WIDE) -> str:
    """Bars in groups: a group a category, a bar a series, from 0 up or down."""
    canvas, field = _PlotCanvas(), _field(plot, size)
    _draw_frame(canvas, plot, field)
    inner = min(field.band * 0.72, 56.0 * len(plot.series))
    wide = inner / len(plot.series)
    for place, series in enumerate(plot.series):
        canvas.group({"class": f"pl-{place}"})
        for index, value in enumerate(series.values):
            if value is not None:
                left = field.x(index) - inner / 2 + place * wide
                ends = sorted((field.y(0), field.y(value)))
                box = Box(left, ends[0], left + wide * 0.9, ends[1])
                draw_bar(canvas, box, place, _tip(plot, index, series, value))
        canvas.close()
    _draw_zero(canvas, field)
    return canvas.document(plot.title, plot.desc, size)


def lines_svg(plot: Plot, size: PlotSize = WIDE) -> str:
    """A line a series with a mark at each value; it breaks where a value is missing."""
    canvas, field = _PlotCanvas(), _field(plot, size)
    _draw_frame(canvas, plot, field, lined=True)
    _draw_zero(canvas, field)
    radius = 3.5 if field.count <= _FEW else 2.0
    for place, series in enumerate(plot.series):
        canvas.group({"class": f"pl-{place}"})
        spots = [
            None if value is None else Spot(field.x(index), field.y(value))
            for index, value in enumerate(series.values)
        ]
        draw_line(canvas, [Stroke(a, b) for a, b in pairwise(spots) if a and b], place)
        for index, (spot, value) in enumerate(zip(spots, series.values, strict=True)):
            if spot is not None and value is not None:
                draw_mark(canvas, spot, radius, place, _tip(plot, index, series, value))
        canvas.close()
    return canvas.document(plot.title, plot.desc, size)


def rows_svg(title: str, desc: str, rows: Sequence[Row], width: float = WIDE.width) -> str:
    """Bars under each other, longest as given; each with its label over it and its words at its end.

    Raises ValueError without rows and for a value below 0.
    """
    if not rows or any(row.value < 0 for row in rows):
        raise ValueError("rows have values of 0 or more, and there is one at least")
    canvas = _PlotCanvas()
    each = TEXT * _LINE + _ROW_BAR + _ROW_GAP
    reach = width - max(text_width(row.words, TEXT, mono=True) for row in rows) - 2 * _PAD
    scale = scale_of([row.value for row in rows])  # refuses what is no number
    longest = max(row.value for row in rows) or scale.high
    for place, row in enumerate(rows):
        top = place * each
        canvas.text(_fitted(row.label, width), Spot(0, top + TEXT * 0.6), TEXT, "dw-text", anchor="start")
        bar_top = top + TEXT * _LINE
        bar = Box(0, bar_top, reach * row.value / longest, bar_top + _ROW_BAR)
        canvas.group({"class": "pl-0"})
        draw_bar(canvas, bar, 0, f"{row.label}: {row.words}")
        canvas.close()
        end = Spot(bar.right + _PAD, bar.centre.y)
        canvas.text(row.words, end, TEXT, "dw-text", mono=True, anchor="start")
    height = len(rows) * each - _ROW_GAP + 2
    return canvas.document(title, desc, PlotSize(width, height))


# --- the frame ---


def _field(plot: Plot, size: PlotSize) -> _Field:
    """The field between the key above, the ticks at the left and the labels below."""
    scale = scale_of(plot.values, whole=plot.unit == COUNT)
    ticks = max(text_width(tick_words(tick, plot.unit), TEXT, mono=True) for tick in scale.ticks)
    first, last = plot.categories[0].label, plot.categories[-1].label
    right = max(_PAD, text_width(last, TEXT, mono=False) / 2)
    left = max(ticks + _PAD, text_width(first, TEXT, mono=False) / 2)
    key = key_rows([series.name for series in plot.series], size.width, TEXT)
    top = TEXT + _KEY * len(key)
    lines = 1 + any(category.under for category in plot.categories)
    box = Box(left, top, size.width - right, size.height - lines * TEXT * _LINE)
    return _Field(box, scale, len(plot.categories), key)


def _draw_frame(canvas: Canvas, plot: Plot, field: _Field, *, lined: bool = False) -> None:
    names = [series.name for series in plot.series]
    draw_key(canvas, names, field.key, TEXT, _KEY, lined=lined)
    canvas.group(_GRID)
    for tick in field.scale.ticks:
        y = field.y(tick)
        canvas.strokes([Stroke(Spot(field.box.left, y), Spot(field.box.right, y))])
    canvas.close()
    for tick in field.scale.ticks:
        spot = Spot(field.box.left - _PAD, field.y(tick))
        canvas.text(tick_words(tick, plot.unit), spot, TEXT, "dw-text", mono=True, anchor="end")
    _draw_labels(canvas, plot, field)


def _draw_zero(canvas: Canvas, field: _Field) -> None:
    canvas.group(_AXIS)
    y = field.y(0)
    canvas.strokes([Stroke(Spot(field.box.left, y), Spot(field.box.right, y))])
    canvas.close()


def _draw_labels(canvas: Canvas, plot: Plot, field: _Field) -> None:
    """As many labels as have room, evenly; what they share stands once under the first of them."""
    boxes = [_label_box(category, field.x(index)) for index, category in enumerate(plot.categories)]
    begins = [i for i, (a, b) in enumerate(pairwise(plot.categories), 1) if a.under != b.under]
    step, first = step_with_room(boxes, begins, _GAP)
    y, said = field.box.bottom + TEXT * 0.9, ""
    for index in range(first, len(boxes), step):
        category = plot.categories[index]
        canvas.text(category.label, Spot(field.x(index), y), TEXT, "dw-text")
        if category.under != said:
            said = category.under
            canvas.text(said, Spot(field.x(index), y + TEXT * _LINE * 0.85), TEXT, "dw-text pl-under")


def _label_box(category: Category, x: float) -> Box:
    wide = max(text_width(words, TEXT, mono=False) for words in (category.label, category.under))
    return Box(x - wide / 2, 0, x + wide / 2, TEXT)


def _tip(plot: Plot, index: int, series: Series, value: float) -> str:
    category = plot.categories[index]
    return f"{category.name or category.label}, {series.name}: {tick_words(value, plot.unit)}"


def _fitted(text: str, width: float) -> str:
    """The text, cut where it would leave the plot."""
    room = int(width / text_width("n", TEXT, mono=False))
    return text if len(text) <= room else f"{text[: room - 1].rstrip()}\N{HORIZONTAL ELLIPSIS}"
