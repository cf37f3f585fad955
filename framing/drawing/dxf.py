"""The framing plan as a DXF drawing for whoever draws on: true sizes in inches, one layer a kind of thing.

Plan coordinates of the floor document; y points up. Every piece (one ply) is the outline of its true flange width
and carries its member, mark, profile and length as extended data of the application name `SPANYARD`.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from textwrap import wrap
from typing import TYPE_CHECKING, Final

from framing.drawing.chains import find_chains
from framing.drawing.dimensions import TICK, Rail, lay_rails, name_of
from framing.drawing.dxf_layers import (
    APPLICATION,
    BORDERS,
    DASHED,
    FLUSH,
    KIND_LAYERS,
    LAYERS,
    LOADS,
    TEXT_STYLE,
    Layer,
)
from framing.drawing.dxf_marks import (
    LOAD,
    MARK,
    MarkPlace,
    Place,
    load_words_at,
    mark_places,
    on_plan,
    support_name,
)
from framing.drawing.dxf_sheet import SCALE, TEXT_IN, DxfSheet
from framing.drawing.paper import MM_PER_16, Box, Spot, Stroke, View, box_around
from framing.drawing.point_loads import load_words
from framing.drawing.sheet import CAUTION
from framing.drawing.slants import find_slants, overhangs, ticks
from framing.drawing.svg import TIMES
from framing.drawing.walls import borders, within
from framing.engine.floor import FloorPlan, StandingLoad, Support, SupportKind
from framing.engine.geometry import Point, Rect
from framing.engine.members import BayLayout, Member, MemberKind
from framing.engine.placement import Item, Placed
from framing.engine.result import FloorResult
from framing.engine.units import format_length, inches

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_END: Final = 6.0  # length of the printed-end triangle
_HOLE: Final = 0.75  # radius of the sign of a service hole
_SPOT: Final = 1.0  # radius of a packer's sign
_LINE: Final = 1.7  # from line to line of the notes, in text heights
_NOTE_SIGNS: Final = 72
_INCHES: Final = View(25.4, Point(0, 0), Spot(0.0, 0.0))
"""The plan in inches instead of millimetres of paper; y still points down."""
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
    _set_up(drawing, result)
    sheet = DxfSheet(drawing.modelspace())
    _draw_ground(sheet, result.plan)
    marks = mark_places(result)
    for layout in result.bays:
        for member in layout.members:
            _draw_member(sheet, member, layout, marks[member.id])
    _draw_bridging(sheet, result)
    for thing in result.placed:
        if thing.item in _BLOCKS:
            _draw_block(sheet, thing)
    for load in result.plan.point_loads:
        _draw_point_load(sheet, load)
    _draw_strings(sheet, result)
    _draw_notes(sheet, title)
    _look_at(drawing, sheet)
    for name in sorted(drawing.entitydb.dxf_types_in_use()):
        drawing.classes.add_class(name)  # the library itself would add them in a set's order
    stream = io.StringIO()
    drawing.write(stream)
    return stream.getvalue()


def _further(result: FloorResult) -> list[Layer]:
    """The layers that only this floor needs."""
    beams = any(member.kind is MemberKind.BEAM for member in result.members)
    further = (FLUSH, beams), (BORDERS, len(result.bays) > 1), (LOADS, bool(result.plan.point_loads))
    return [layer for layer, here in further if here]


def _set_up(drawing: Drawing, result: FloorResult) -> None:
    """Inches, architectural lengths to the sixteenth, the layers, one text style."""
    drawing.header["$MEASUREMENT"] = 0
    drawing.header["$LUNITS"] = 4
    drawing.header["$LUPREC"] = 4
    drawing.header["$LWDISPLAY"] = 1
    drawing.appids.add(APPLICATION)
    drawing.styles.add(TEXT_STYLE, font="txt.shx")
    drawing.linetypes.add(DASHED, pattern=[9.0, 6.0, -3.0], description="Dashed __ __ __")
    for layer in (*LAYERS, *_further(result)):
        line = DASHED if layer.dashed else "Continuous"
        made = drawing.layers.add(layer.name, color=layer.colour, linetype=line, lineweight=layer.line_weight)
        made.description = layer.words


def _place(point: Point) -> Place:
    return inches(point.x_16), inches(point.y_16)


def _corners(rect: Rect) -> tuple[Place, ...]:
    (left, bottom), (right, top) = _place(rect.low), _place(rect.high)
    return ((left, bottom), (right, bottom), (right, top), (left, top))


def _draw_ground(sheet: DxfSheet, plan: FloorPlan) -> None:
    """Outline, inner bearings with their names, openings with name, size and a diagonal."""
    sheet.ring("OUTLINE", map(_place, plan.outline))
    for support in plan.supports:
        _draw_support(sheet, support, plan)
    for border in borders(plan, _INCHES):
        sheet.line(BORDERS.name, (border.a.x, 0.0 - border.a.y), (border.b.x, 0.0 - border.b.y))
    for opening in plan.openings:
        corners = _corners(opening.rect)
        sheet.ring("OPENINGS", corners)
        sheet.line("OPENINGS", corners[0], corners[2])
        x, y = (corners[0][0] + corners[2][0]) / 2, (corners[0][1] + corners[2][1]) / 2
        turned = opening.rect.height_16 > opening.rect.width_16
        size = f" {TIMES} ".join(
            format_length(side, plan.units) for side in (opening.rect.width_16, opening.rect.height_16)
        )
        for words, off in ((opening.name, TEXT_IN), (size, -TEXT_IN)):
            sheet.text("OPENINGS", words, (x - off, y) if turned else (x, y + off), turned=turned)


def _draw_support(sheet: DxfSheet, support: Support, plan: FloorPlan) -> None:
    """A bearing as wide as it is; its name stands at its far end, beside it and inside the outline.

    A flush beam has the name only: its members are drawn.
    """
    a, b = sorted((support.start, support.end))
    centre = Stroke(Spot(*_place(a)), Spot(*_place(b)))
    half = inches(support.width_16 / 2)
    if support.kind is not SupportKind.FLUSH_BEAM:
        ring = [Spot(*_place(point)) for point in plan.outline]
        low, high = (within(centre.beside(off), ring, half) for off in (half, -half))
        sheet.ring("SUPPORTS", ((s.x, s.y) for s in (high.a, high.b, low.b, low.a)))
    name = support_name(support)
    sheet.text("SUPPORTS", support.id, name.at, turned=name.turned, height=MARK)


def _draw_member(sheet: DxfSheet, member: Member, layout: BayLayout, mark: MarkPlace) -> None:
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


def _draw_bridging(sheet: DxfSheet, result: FloorResult) -> None:
    frames = {layout.bay.id: layout.frame for layout in result.bays}
    for line in result.lines:
        for run in line.runs:
            low = frames[line.bay].point(run.across_low_16, line.along_16)
            high = frames[line.bay].point(run.across_high_16, line.along_16)
            sheet.line("BRIDGING", _place(low), _place(high))


def _draw_block(sheet: DxfSheet, thing: Placed) -> None:
    if thing.to is None or thing.to == thing.at:
        sheet.circle("BLOCKS", _place(thing.at), _SPOT)
    else:
        sheet.line("BLOCKS", _place(thing.at), _place(thing.to))


def _draw_point_load(sheet: DxfSheet, load: StandingLoad) -> None:
    """A triangle whose tip is the place, name and weight over it."""
    x, y = _place(load.at)
    sheet.ring(LOADS.name, ((x, y), (x - LOAD / 2, y + LOAD), (x + LOAD / 2, y + LOAD)))
    sheet.text(LOADS.name, load_words(load), load_words_at(load), height=MARK)


def _draw_strings(sheet: DxfSheet, result: FloorResult) -> None:
    """The dimension strings of the printed plan, laid as on paper at 1 : 48."""
    xs, ys = [p.x_16 for p in result.plan.outline], [p.y_16 for p in result.plan.outline]
    low, high = Point(min(xs), min(ys)), Point(max(xs), max(ys))
    view = View(SCALE, low, Spot(0.0, 0.0))
    outline = box_around((view.spot(low), view.spot(high)))
    slants = find_slants(result.plan, view)
    for rail in lay_rails(find_chains(result), view, overhangs(slants, outline)):
        _draw_string(sheet, rail, view, outline)
    for slant in slants:
        for stroke in (slant.line, *ticks(slant.line)):
            sheet.line("DIMENSIONS", _unpapered(stroke.a, view), _unpapered(stroke.b, view))
        sheet.text("DIMENSIONS", slant.words, _unpapered(slant.middle, view), angle=-slant.angle)
        if slant.note:
            sheet.text("DIMENSIONS", slant.note, _unpapered(slant.note_middle, view), angle=-slant.angle)


def _draw_string(sheet: DxfSheet, rail: Rail, view: View, outline: Box) -> None:
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


def _draw_notes(sheet: DxfSheet, title: Sequence[str]) -> None:
    """Title and cautions under all else."""
    left = min(x for x, _ in sheet.places)
    bottom = min(y for _, y in sheet.places) - 3 * TEXT_IN
    lines = [*title, *(line for words in CAUTION for line in wrap(words, _NOTE_SIGNS))]
    for number, words in enumerate(lines):
        sheet.text("NOTES", words, (left, bottom - number * _LINE * TEXT_IN), to="start")


def _look_at(drawing: Drawing, sheet: DxfSheet) -> None:
    """The drawing opens on the whole plan."""
    xs, ys = [x for x, _ in sheet.places], [y for _, y in sheet.places]
    low, high = (min(xs), min(ys)), (max(xs), max(ys))
    drawing.header["$EXTMIN"], drawing.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
    height = max(high[1] - low[1], (high[0] - low[0]) / 1.5) * 1.1
    drawing.set_modelspace_vport(height, ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2))
