"""The framing plan as a DXF drawing for whoever draws on: true sizes in inches, one layer a kind of thing.

Plan coordinates of the floor document; y points up. Every piece (one ply) is the outline of its true flange width
and carries its member, mark, profile and length as extended data of the application name `SPANYARD`.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING, Final

from framing.drawing.chains import find_chains
from framing.drawing.dimensions import TICK, Rail, lay_rails, name_of
from framing.drawing.dxf_layers import APPLICATION, DASHED, KIND_LAYERS, LAYERS, TEXT_STYLE
from framing.drawing.dxf_marks import MARK, MarkPlace, Place, mark_places, on_plan
from framing.drawing.paper import MM_PER_16, Box, Spot, View, box_around
from framing.drawing.sheet import CAUTION
from framing.drawing.svg import CAP_HEIGHT, TIMES
from framing.engine.floor import FloorPlan, Support
from framing.engine.geometry import Point, Rect
from framing.engine.members import BayLayout, Member
from framing.engine.placement import Item, Placed
from framing.engine.result import FloorResult
from framing.engine.units import format_length, inches

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

_SCALE: Final = 48.0  # strings and texts are sized to be read at 1 : 48
_TEXT: Final = 3.0 * CAP_HEIGHT * _SCALE / 25.4  # height of capitals in inches
_END: Final = 6.0  # length of the printed-end triangle
_HOLE: Final = 0.75  # radius of the sign of a service hole
_SPOT: Final = 1.0  # radius of a packer's sign
_LINE: Final = 1.7  # from line to line of the notes, in text heights
_NOTE_SIGNS: Final = 72
_INSIDE: Final = 2.0  # from a bearing's end to its name, clear of the rim
_BLOCKS: Final = (Item.SOLID_BLOCK, Item.LADDER_BLOCK, Item.WOOD_PACKER)


def plan_dxf(result: FloorResult, *, title: Sequence[str] = ()) -> str:
    """The framing plan as DXF text (R2010, inches), the same for equal input.

    Args:
        result: the designed floor.
        title: lines under the plan, such as project, floor and version; the cautions follow them.
    """
    from ezdxf import options  # type: ignore[attr-defined] # a second to load, and only here
    from ezdxf.filemanagement import new

    # The library's one switch for a file without its clock and without random ids; nothing else hangs on it.
    options.write_fixed_meta_data_for_testing = True
    drawing = new("R2010", units=1)
    _set_up(drawing)
    sheet = _Sheet(drawing.modelspace())
    _draw_ground(sheet, result.plan)
    marks = mark_places(result)
    for layout in result.bays:
        for member in layout.members:
            _draw_member(sheet, member, layout, marks[member.id])
    _draw_bridging(sheet, result)
    for thing in result.placed:
        if thing.item in _BLOCKS:
            _draw_block(sheet, thing)
    _draw_strings(sheet, result)
    _draw_notes(sheet, title)
    _look_at(drawing, sheet)
    for name in sorted(drawing.entitydb.dxf_types_in_use()):
        drawing.classes.add_class(name)  # the library itself would add them in a set's order
    stream = io.StringIO()
    drawing.write(stream)
    return stream.getvalue()


class _Sheet:
    """The model space with what the plan is made of; remembers how far it reaches."""

    def __init__(self, space: Modelspace) -> None:
        self.space = space
        self.places: list[Place] = []

    def line(self, layer: str, a: Place, b: Place) -> None:
        self.places += (a, b)
        self.space.add_line(a, b, dxfattribs={"layer": layer})

    def ring(
        self, layer: str, corners: Iterable[Place], data: Sequence[tuple[int, str | float]] = ()
    ) -> None:
        places = list(corners)
        self.places += places
        ring = self.space.add_lwpolyline(places, close=True, dxfattribs={"layer": layer})
        if data:
            ring.set_xdata(APPLICATION, list(data))

    def circle(self, layer: str, centre: Place, radius: float) -> None:
        self.space.add_circle(centre, radius, dxfattribs={"layer": layer})

    def text(
        self,
        layer: str,
        words: str,
        at: Place,
        *,
        turned: bool = False,
        height: float = _TEXT,
        to: str = "middle",
    ) -> None:
        """Words on one line at the middle of their height; `to` says which part of them stands at the place."""
        from ezdxf.enums import TextEntityAlignment as Align

        self.places.append(at)
        attributes = {"layer": layer, "style": TEXT_STYLE, "rotation": 90 if turned else 0}
        text = self.space.add_text(_one_line(words), height=height, dxfattribs=attributes)
        align = {"start": Align.MIDDLE_LEFT, "middle": Align.MIDDLE_CENTER, "end": Align.MIDDLE_RIGHT}[to]
        text.set_placement(at, align=align)


def _one_line(words: str) -> str:
    """No line ends and no control signs, which a DXF text can't hold."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in words).split())


def _set_up(drawing: Drawing) -> None:
    """Inches, architectural lengths to the sixteenth, the layers, one text style."""
    drawing.header["$MEASUREMENT"] = 0
    drawing.header["$LUNITS"] = 4
    drawing.header["$LUPREC"] = 4
    drawing.header["$LWDISPLAY"] = 1
    drawing.appids.add(APPLICATION)
    drawing.styles.add(TEXT_STYLE, font="txt.shx")
    drawing.linetypes.add(DASHED, pattern=[9.0, 6.0, -3.0], description="Dashed __ __ __")
    for layer in LAYERS:
        line = DASHED if layer.dashed else "Continuous"
        made = drawing.layers.add(layer.name, color=layer.colour, linetype=line, lineweight=layer.line_weight)
        made.description = layer.words


def _place(point: Point) -> Place:
    return inches(point.x_16), inches(point.y_16)


def _corners(rect: Rect) -> tuple[Place, ...]:
    (left, bottom), (right, top) = _place(rect.low), _place(rect.high)
    return ((left, bottom), (right, bottom), (right, top), (left, top))


def _draw_ground(sheet: _Sheet, plan: FloorPlan) -> None:
    """Outline, inner bearings with their names, openings with name, size and a diagonal."""
    sheet.ring("OUTLINE", map(_place, plan.outline))
    for support in plan.supports:
        _draw_support(sheet, support)
    for opening in plan.openings:
        corners = _corners(opening.rect)
        sheet.ring("OPENINGS", corners)
        sheet.line("OPENINGS", corners[0], corners[2])
        x, y = (corners[0][0] + corners[2][0]) / 2, (corners[0][1] + corners[2][1]) / 2
        turned = opening.rect.height_16 > opening.rect.width_16
        size = f" {TIMES} ".join(
            format_length(side, plan.units) for side in (opening.rect.width_16, opening.rect.height_16)
        )
        for words, off in ((opening.name, _TEXT), (size, -_TEXT)):
            sheet.text("OPENINGS", words, (x - off, y) if turned else (x, y + off), turned=turned)


def _draw_support(sheet: _Sheet, support: Support) -> None:
    """A bearing as wide as it is; its name stands at its far end, beside it and inside the outline."""
    a, b = sorted((support.start, support.end))
    half = inches(support.width_16 / 2)
    level = a.y_16 == b.y_16
    dx, dy = (0.0, half) if level else (half, 0.0)
    (ax, ay), (bx, by) = _place(a), _place(b)
    sheet.ring("SUPPORTS", ((ax - dx, ay - dy), (bx - dx, by - dy), (bx + dx, by + dy), (ax + dx, ay + dy)))
    off = half + MARK
    at = (bx - _INSIDE, by + off) if level else (bx - off, by - _INSIDE)
    sheet.text("SUPPORTS", support.id, at, turned=not level, height=MARK, to="end")


def _draw_member(sheet: _Sheet, member: Member, layout: BayLayout, mark: MarkPlace) -> None:
    """Each ply's outline, the printed end (R9), holes (R10) and the mark beside it."""
    layer = KIND_LAYERS[member.kind]
    flange_16 = member.width_16 / member.plies
    for ply in range(member.plies):
        low_16 = member.centre_16 - member.width_16 / 2 + ply * flange_16
        ends = ((member.low_16, low_16), (member.high_16, low_16))
        back = ((member.high_16, low_16 + flange_16), (member.low_16, low_16 + flange_16))
        data = (
            (1000, member.id), (1000, member.mark), (1000, member.profile),
            (1040, inches(member.length_16)), (1070, ply + 1),
        )  # fmt: skip
        sheet.ring(layer, (on_plan(layout.frame, member, *corner) for corner in (*ends, *back)), data)
    half, end = member.width_16 / 2, member.low_16 + _END * 16
    triangle = ((member.low_16, member.centre_16 - half), (member.low_16, member.centre_16 + half))
    tip = (end, float(member.centre_16))
    sheet.ring("MARKS", (on_plan(layout.frame, member, *corner) for corner in (*triangle, tip)))
    for hole_16 in member.holes_16:
        centre = on_plan(layout.frame, member, member.low_16 + hole_16, member.centre_16)
        sheet.circle("HOLES", centre, _HOLE)
    sheet.text("MARKS", member.mark or member.id, mark.at, turned=mark.turned, height=MARK)


def _draw_bridging(sheet: _Sheet, result: FloorResult) -> None:
    frames = {layout.bay.id: layout.frame for layout in result.bays}
    for line in result.lines:
        for run in line.runs:
            low = frames[line.bay].point(run.across_low_16, line.along_16)
            high = frames[line.bay].point(run.across_high_16, line.along_16)
            sheet.line("BRIDGING", _place(low), _place(high))


def _draw_block(sheet: _Sheet, thing: Placed) -> None:
    if thing.to is None or thing.to == thing.at:
        sheet.circle("BLOCKS", _place(thing.at), _SPOT)
    else:
        sheet.line("BLOCKS", _place(thing.at), _place(thing.to))


def _draw_strings(sheet: _Sheet, result: FloorResult) -> None:
    """The dimension strings of the printed plan, laid as on paper at 1 : 48."""
    xs, ys = [p.x_16 for p in result.plan.outline], [p.y_16 for p in result.plan.outline]
    low, high = Point(min(xs), min(ys)), Point(max(xs), max(ys))
    view = View(_SCALE, low, Spot(0.0, 0.0))
    outline = box_around((view.spot(low), view.spot(high)))
    for rail in lay_rails(find_chains(result), view):
        _draw_string(sheet, rail, view, outline)


def _draw_string(sheet: _Sheet, rail: Rail, view: View, outline: Box) -> None:
    def at(place: float, beside: float = 0.0) -> Place:
        return _unpapered(rail.spot(outline, place, beside), view)

    chain = rail.chain
    inner = [place for part in chain.parts for place in part.ticks_16]
    for end in (*rail.ends, *(view.x(place) if chain.level else view.y(place) for place in inner)):
        sheet.line("DIMENSIONS", at(end, -TICK), at(end, TICK))
        sheet.line("DIMENSIONS", at(end - TICK / 2, TICK / 2), at(end + TICK / 2, -TICK / 2))
    sheet.line("DIMENSIONS", at(rail.ends[0]), at(rail.ends[-1]))
    for text in rail.texts:
        sheet.text("DIMENSIONS", text.words, at(text.place, text.beside), turned=text.turned)
    if chain.name:
        spot, anchor = name_of(rail, outline)
        sheet.text("DIMENSIONS", chain.name, _unpapered(spot, view), turned=not chain.level, to=anchor)


def _unpapered(spot: Spot, view: View) -> Place:
    """A place on the paper as one of the plan, to a thousandth of an inch."""
    inch = view.scale / MM_PER_16 / 16
    return (
        round(inches(view.low.x_16) + spot.x * inch, 3),
        round(inches(view.low.y_16) - spot.y * inch, 3),
    )


def _draw_notes(sheet: _Sheet, title: Sequence[str]) -> None:
    """Title and cautions under all else."""
    left = min(x for x, _ in sheet.places)
    bottom = min(y for _, y in sheet.places) - 3 * _TEXT
    lines = [*title, *(line for words in CAUTION for line in wrap(words, _NOTE_SIGNS))]
    for number, words in enumerate(lines):
        sheet.text("NOTES", words, (left, bottom - number * _LINE * _TEXT), to="start")


def _look_at(drawing: Drawing, sheet: _Sheet) -> None:
    """The drawing opens on the whole plan."""
    xs, ys = [x for x, _ in sheet.places], [y for _, y in sheet.places]
    low, high = (min(xs), min(ys)), (max(xs), max(ys))
    drawing.header["$EXTMIN"], drawing.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
    height = max(high[1] - low[1], (high[0] - low[0]) / 1.5) * 1.1
    drawing.set_modelspace_vport(height, ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2))
