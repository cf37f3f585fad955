"""The framing plan of one floor on a sheet."""

from __future__ import annotations

from collections.abc import Sequence

from framing.drawing.arrows import draw_span_arrows, place_spans
from framing.drawing.chains import find_chains
from framing.drawing.dimensions import band, draw_chains, lay_rails
from framing.drawing.fittings import block_fittings, draw_blocks, draw_bridging, draw_rim_boards, draw_spots
from framing.drawing.ground import (
    block_care,
    block_ground,
    draw_borders,
    draw_care,
    draw_outline,
    place_free_edges,
)
from framing.drawing.key import ROW, draw_key, key_height
from framing.drawing.labels import Scene
from framing.drawing.marks import place_marks
from framing.drawing.members import Drawn, block_members, draw_members, drawn_members
from framing.drawing.openings import block_openings, draw_openings, place_opening_names
from framing.drawing.paper import Box, Spot, View
from framing.drawing.point_loads import (
    block_point_loads,
    draw_point_loads,
    load_words,
    place_load_words,
)
from framing.drawing.runs import find_runs
from framing.drawing.sheet import (
    LARGE,
    MEDIUM,
    SMALL,
    STRIP,
    Fitted,
    Paper,
    SheetInfo,
    draw_frame,
    draw_north,
    draw_scale_bar,
    fit,
)
from framing.drawing.slants import Slant, block_slants, draw_slants, find_slants, overhangs
from framing.drawing.starts import draw_starts, place_starts
from framing.drawing.strings import SIDES, Chain, Side
from framing.drawing.supports import draw_supports, name_room, place_support_names
from framing.drawing.svg import Canvas
from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan
from framing.engine.geometry import Point
from framing.engine.result import FloorResult
from framing.engine.units import format_length

_MARGIN = 3.0
_TRIES = 6
_MARKS_SCALE = 128.0
_BAR = 48.0  # the longest scale bar with its words
_CARE = 6.2  # from one warning's triangle to the next
_UNDER = 3.6  # from a point load's tip to the middle of its warning's triangle
_NORTH = 16.0  # width kept free for the north arrow


def plan_svg(
    result: FloorResult, sheet: SheetInfo, *, highlight: frozenset[str] = frozenset(), spots: bool = True
) -> str:
    """The framing plan as SVG text, the same for equal input.

    Args:
        result: the designed floor.
        sheet: what the title strip says, and the paper's size; user units are millimetres on that paper.
        highlight: ids of members, bridging lines and placed things to light up.
        spots: also write an unseen shape for every placed thing, so that a page can light it; off for print.
    """
    chains = find_chains(result)
    fitted = _fit(result, sheet, chains)
    slants = find_slants(result.plan, fitted.view)
    rails = lay_rails(chains, fitted.view, _taken(result, slants, fitted.outline))
    canvas = Canvas()
    draw_frame(canvas, sheet, fitted.words, result.plan.units)
    draw_floor(canvas, result, fitted, slants, highlight, spots)
    draw_chains(canvas, rails, fitted.view, fitted.outline)
    draw_slants(canvas, slants)
    _draw_foot(canvas, result, sheet, fitted)
    title = f"{sheet.floor or result.plan.name}: framing plan"
    return canvas.finish(sheet.paper.width, sheet.paper.height, title, describe(result), "dw-plan")


def paper_for(result: FloorResult) -> Paper:
    """The smallest paper on which joists 16 in apart leave room for a mark between them (1 : 128)."""
    chains = find_chains(result)
    for paper in (SMALL, MEDIUM):
        sheet = SheetInfo("", "", paper=paper, north_deg=0.0)
        if _fit(result, sheet, chains).view.scale <= _MARKS_SCALE:
            return paper
    return LARGE


def reach(plan: FloorPlan) -> tuple[Point, Point]:
    """Low and high corner of the outline's box."""
    xs, ys = [p.x_16 for p in plan.outline], [p.y_16 for p in plan.outline]
    return Point(min(xs), min(ys)), Point(max(xs), max(ys))


def _fit(result: FloorResult, sheet: SheetInfo, chains: tuple[Chain, ...]) -> Fitted:
    """Fit the plan and the strings around it: texts that stand off a short string need room, which is known
    only at a scale, so the room is taken again until it is enough."""
    low, high = reach(result.plan)
    bands: dict[Side, float] = {}
    for _ in range(_TRIES):
        field = _field(result, sheet, bands)
        fitted = fit(low, high, field, result.plan.units)
        taken = _taken(result, find_slants(result.plan, fitted.view), fitted.outline)
        rails = lay_rails(chains, fitted.view, taken)
        needed = {side: band(rails, side, taken[side]) for side in SIDES}
        if all(needed[side] <= bands.get(side, 0.0) for side in SIDES):
            break
        bands = {side: max(needed[side], bands.get(side, 0.0)) for side in SIDES}
    return fitted


def _taken(result: FloorResult, slants: Sequence[Slant], outline: Box) -> dict[Side, float]:
    """What stands beyond each side before the first string."""
    over, names = overhangs(slants, outline), name_room(result.plan)
    return {side: max(over[side], names[side]) for side in SIDES}


def _key(result: FloorResult, sheet: SheetInfo) -> tuple[float, float]:
    """Width and height of the key, left of the scale bar."""
    width = sheet.paper.width - _BAR - 8.0
    return width, key_height(result, width)


def _field(result: FloorResult, sheet: SheetInfo, bands: dict[Side, float]) -> Box:
    """Where the outline may lie: the sheet without strip, key, strings and the north arrow's column."""
    right = max(bands.get("right", 0.0), _NORTH if sheet.north_deg is not None else 0.0)
    return Box(
        _MARGIN + bands.get("left", 0.0),
        _MARGIN + bands.get("top", 0.0),
        sheet.paper.width - _MARGIN - right,
        sheet.paper.height - STRIP - _key(result, sheet)[1] - 2.0 - bands.get("bottom", 0.0),
    )


def draw_floor(
    canvas: Canvas,
    result: FloorResult,
    fitted: Fitted,
    slants: Sequence[Slant],
    highlight: frozenset[str],
    spots: bool,
) -> None:
    """Everything inside and at the outline; labels are placed first, so that lines break under them."""
    view, plan = fitted.view, result.plan
    drawn = drawn_members(result, view)
    failing = frozenset(member for check in result.checks if not check.passes for member in check.members)
    cares = placed_problems(result.warnings, view, fitted.outline)
    scene = _ground(result, drawn, view, failing)
    block_slants(scene, slants)
    for _, spot, _ in cares:
        block_care(scene, spot)
    starts = place_starts(scene, result, drawn, view)
    place_free_edges(scene, plan, view)
    place_opening_names(scene, plan, view)
    place_support_names(scene, plan, view, fitted.outline)
    place_load_words(scene, plan, view)
    place_marks(scene, find_runs(drawn), fitted.outline)
    arrows = place_spans(scene, result, drawn, view)
    draw_outline(canvas, scene, plan, view)
    draw_borders(canvas, scene, plan, view)
    draw_supports(canvas, scene, plan, view)
    draw_openings(canvas, scene, plan, view)
    draw_rim_boards(canvas, scene, result, view, highlight)
    draw_bridging(canvas, scene, result, view, highlight)
    draw_blocks(canvas, result, view, highlight)
    draw_members(canvas, scene, drawn, view, plan.units, failing, highlight)
    draw_point_loads(canvas, plan, view)
    if spots or highlight:
        draw_spots(canvas, result, view, highlight)
    draw_span_arrows(canvas, scene, arrows)
    draw_starts(canvas, starts)
    canvas.open("dw-run")
    canvas.strokes(scene.strokes)
    canvas.close()
    for label in scene.labels:
        label.draw(canvas)
    for words, spot, message in cares:
        draw_care(canvas, spot, words, message)


def _ground(result: FloorResult, drawn: Sequence[Drawn], view: View, failing: frozenset[str]) -> Scene:
    """What is drawn, before anything is written."""
    scene = Scene()
    block_ground(scene, result.plan, view)
    block_openings(scene, result.plan, view)
    block_members(scene, drawn, failing)
    block_fittings(scene, result, view)
    block_point_loads(scene, result.plan, view)
    return scene


def placed_problems(problems: Sequence[Problem], view: View, outline: Box) -> list[tuple[str, Spot, str]]:
    """Number, place and message of the problems that have a place; numbers are those of the whole list.

    Those of one place stand beside each other, towards the middle of the floor.
    """
    found: list[tuple[str, Spot, str]] = []
    for index, problem in enumerate(problems, 1):
        if problem.x_16 is not None and problem.y_16 is not None:
            spot = view.spot(Point(problem.x_16, problem.y_16))
            if problem.place.startswith("point_loads."):
                spot = spot.moved(0.0, _UNDER)  # whose own triangle stands there
            step = _CARE if spot.x < outline.centre.x else -_CARE
            while any(
                abs(spot.x - other.x) < _CARE and abs(spot.y - other.y) < _CARE for _, other, _ in found
            ):
                spot = spot.moved(step, 0.0)
            found.append((str(index), spot, problem.message))
    return found


def _draw_foot(canvas: Canvas, result: FloorResult, sheet: SheetInfo, fitted: Fitted) -> None:
    width, height = _key(result, sheet)
    middle = sheet.paper.height - STRIP - 1.5 - ROW / 2
    draw_key(canvas, result, fitted.view, Spot(4.0, middle - height + ROW), width)
    draw_scale_bar(canvas, sheet.paper.width - 4.0, middle, fitted.view, result.plan.units)
    if sheet.north_deg is not None:
        draw_north(canvas, Spot(sheet.paper.width - 10.0, 11.0), sheet.north_deg)


def describe(result: FloorResult) -> str:
    """A sentence for those who do not see the drawing."""
    low, high = reach(result.plan)
    units = result.plan.units
    size = f"{format_length(high.x_16 - low.x_16, units)} by {format_length(high.y_16 - low.y_16, units)}"
    marks = ", ".join(f"{line.members} of mark {line.mark}" for line in result.schedule)
    openings = ", ".join(opening.name for opening in result.plan.openings) or "none"
    loads = ", ".join(load_words(load) for load in result.plan.point_loads)
    fails = sum(len(check.members) for check in result.checks if not check.passes)
    verdict = f" {fails} members fail a check." if fails else ""
    stands = f" Point loads: {loads}." if loads else ""
    members = marks or f"{len(result.members)}"
    return f"Floor of {size}. Members: {members}. Openings: {openings}.{stands}{verdict}"
