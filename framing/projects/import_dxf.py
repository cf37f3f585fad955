"""A floor out of a DXF drawing's facts and a person's choices: units, outline, openings, walls, and the report."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

from framing.projects.import_choice import PARTS, Choice
from framing.projects.import_found import (
    Found,
    LeftOut,
    Report,
    System,
    counted,
    found_of,
    length_words,
    size_words,
    together,
)
from framing.projects.import_outline import CORNERS_MOST, NEAR_16, Placing, place_outline
from framing.projects.import_parts import Box, Text, floor_openings, opening_entries, opening_words
from framing.projects.import_rings import (
    not_closed,
    ring_size,
    rings_apart,
    rings_inside,
    tell_walls,
    walls_within,
)
from framing.projects.import_walls import (
    WALLS_MOST,
    floor_walls,
    inner_walls,
    joist_axis,
    placed_walls,
    runs_along,
    wall_entries,
    wall_words,
)
from framing.projects.reading.dxf_units import LARGEST_16, SMALLEST_16, UNITS, FoundUnit, find_unit
from framing.projects.reading.loops import Loops, find_loops
from framing.projects.reading.loops_curves import straight_path
from framing.projects.reading.loops_rings import Ring
from framing.projects.reading.loops_shapes import Path, Spot
from framing.projects.reading.loops_walls import Wall, find_walls

if TYPE_CHECKING:
    from shapely import Polygon

CHORD_16: Final = 2.0
"""Chords keep within 1/8 in of the curve that they stand for."""
FLOOR_16: Final = 4 * 192 * 192
"""A closed shape under 4 square feet is no floor of its own."""
_STROKES_MOST: Final = 8000


@dataclass(frozen=True)
class Sheet:
    """A drawing in sixteenths of an inch."""

    facts: Mapping[str, Any]
    scale: float

    def paths(self, layer: int) -> list[Path]:
        return [straight_path(path, self.scale, CHORD_16) for path in self.facts["layers"][layer]["paths"]]

    def name(self, layer: int) -> str:
        return str(self.facts["layers"][layer]["name"])

    @cached_property
    def texts(self) -> list[Text]:
        return [Text((x * self.scale, y * self.scale), words) for x, y, words in self.facts["texts"]]


def usual_choice(facts: Mapping[str, Any], name: str) -> Choice:
    """What the page begins with: layers by the reader's guess, the unit as found."""
    outline, openings, walls = (
        -1 if facts["guess"][part] is None else facts["guess"][part] for part in PARTS
    )
    unit = unit_of(facts, outline).unit
    return Choice(unit.key if unit else "", outline, openings, walls, name=name)


def unit_of(facts: Mapping[str, Any], outline: int) -> FoundUnit:
    """The drawing's unit, judged by the size of what is chosen as outline, else of all that is drawn."""
    count, *size = facts["closed"][outline] if 0 <= outline < len(facts["layers"]) else (0, 0.0, 0.0)
    return find_unit(facts, max(size if count else facts["size"]))


def import_dxf(facts: Mapping[str, Any], choice: Choice, blank: Mapping[str, Any]) -> Found:
    """The floor of a drawing as a document made from `blank` (its loads, spacing and units), with the report."""
    report = Report(mended=list(facts["mended"]))
    choice = _known(facts, choice)
    unit = UNITS.get(choice.units)
    if unit is None:
        report.problem("units", unit_of(facts, choice.outline).why)
    if choice.outline < 0:
        report.problem("outline", "Say on which layer the outline lies.")
    if unit is None or choice.outline < 0:
        return found_of(report, None)
    return _Import(Sheet(facts, float(unit.sixteenths)), choice, blank, report).found()


def _known(facts: Mapping[str, Any], choice: Choice) -> Choice:
    """The choice without layers that the drawing lacks."""
    last = len(facts["layers"]) - 1
    outline, openings, walls = (number if number <= last else -1 for number in choice.layers)
    return replace(choice, outline=outline, openings=openings, walls=walls)


class _Import:
    """One import on its way; each step adds to the report."""

    def __init__(self, sheet: Sheet, choice: Choice, blank: Mapping[str, Any], report: Report) -> None:
        self.sheet, self.choice, self.blank, self.report = sheet, choice, blank, report
        self.units: System = blank["units"]
        self.layer = sheet.name(choice.outline)

    def found(self) -> Found:
        paths = self.sheet.paths(self.choice.outline)
        if not self._readable(paths, self.layer):
            return found_of(self.report, None)
        loops = find_loops(paths, NEAR_16)
        floors = rings_apart([ring for ring in loops.rings if ring.area >= FLOOR_16])
        if not floors:
            self.report.problem("outline", not_closed(loops, self.layer, self.units))
            return found_of(self.report, None)
        others = tuple(size_words(*ring_size(ring), self.units) for ring in floors)
        ring = floors[min(self.choice.loop, len(floors) - 1)]
        if not self._sound(ring):
            return found_of(self.report, None, others)
        self._tell_mended(ring, loops)
        corners, placing = place_outline(ring, self.units, self.report)
        return found_of(self.report, self._document(corners, placing, ring, loops, floors), others)

    def _readable(self, paths: Sequence[Path], layer: str) -> bool:
        strokes = sum(len(path.strokes) for path in paths)
        if strokes > _STROKES_MOST:
            self.report.problem(
                "outline",
                f"Layer “{layer}” has {strokes:,} straight pieces; at most {_STROKES_MOST:,} are looked at. Put the "
                "outline on a layer of its own.",
            )
        return strokes <= _STROKES_MOST

    def _sound(self, ring: Ring) -> bool:
        """Whether the outline can be one; what is wrong is told."""
        from shapely import Polygon

        size_16 = max(ring_size(ring))
        size = f"The floor would be {size_words(*ring_size(ring), self.units)}"
        if not SMALLEST_16 <= size_16 <= LARGEST_16:
            self.report.problem("units", f"{size}. A floor is 4 ft to 1,000 ft long; choose another unit.")
        elif len(ring.corners) > CORNERS_MOST:
            self.report.problem(
                "outline",
                f"The outline has {len(ring.corners):,} corners; at most {CORNERS_MOST} are taken. Draw it simpler.",
            )
        elif not Polygon(ring.corners).is_valid:
            self.report.problem(
                "outline", f"The outline on layer “{self.layer}” crosses itself; mend it there."
            )
        return not self.report.problems

    def _tell_mended(self, ring: Ring, loops: Loops) -> None:
        told = self.report.mended
        if ring.gaps:
            gap = length_words(max(ring.gap, 1.0), self.units)
            told.append(
                f"The outline was open at {counted(ring.gaps, 'place')}, by {gap} at most; it is closed now."
            )
        if loops.twice:
            told.append(f"{counted(loops.twice, 'line')} of layer “{self.layer}” drawn twice; taken once.")
        if ring.curved:
            told.append("Curves of the outline became straight sides that keep within 1/8 in of them.")
        if ring.crossed:
            told.append(
                "The outline was found by cutting its lines where they cross; lines inside it were left."
            )

    def _document(
        self, corners: Sequence[Spot], placing: Placing, ring: Ring, loops: Loops, floors: Sequence[Ring]
    ) -> dict[str, Any]:
        from shapely import Polygon

        report, units = self.report, self.units
        size = size_words(max(x for x, _ in corners), max(y for _, y in corners), units)
        report.taken.append(f"Outline from layer “{self.layer}”: {len(corners)} corners, {size}.")
        inner = rings_inside(ring, loops.rings)
        boxes = self._openings(inner, placing, Polygon(corners))
        walls, axis = self._walls(corners, [box for box, _, _ in boxes], placing)
        self._tell_left(loops, floors, inner)
        document = dict(self.blank)
        document["name"] = self.choice.name or document["name"]
        document["level"] = self.choice.level or document["level"]
        document["outline"] = [[length_words(x, units), length_words(y, units)] for x, y in corners]
        document["openings"] = opening_entries(boxes, units)
        document["supports"] = wall_entries(walls, units)
        document["bays"] = [{**self.blank["bays"][0], "direction": axis}, *self.blank["bays"][1:]]
        return document

    def _openings(
        self, inner: Sequence[Ring], placing: Placing, floor: Polygon
    ) -> list[tuple[Box, str, str]]:
        report, layer = self.report, self.choice.openings
        rings = list(inner) if self.choice.inside else []
        if layer >= 0 and layer != self.choice.outline:
            paths = self.sheet.paths(layer)
            if self._readable(paths, self.sheet.name(layer)):
                loops = find_loops(paths, NEAR_16)
                rings += loops.rings
                if loops.open:
                    why = "close to no shape; only closed rectangles are openings"
                    report.left.append(LeftOut(counted(len(loops.open), "line"), self.sheet.name(layer), why))
        where = self.sheet.name(layer) if layer >= 0 else self.layer
        texts = [Text(placing.of(text.at), text.words) for text in self.sheet.texts]
        boxes = floor_openings(rings, placing, floor, texts, where, report)
        if boxes:
            report.taken.append(f"{counted(len(boxes), 'opening')}: {opening_words(boxes, self.units)}.")
        return boxes

    def _walls(
        self, corners: Sequence[Spot], boxes: Sequence[Box], placing: Placing
    ) -> tuple[list[Wall], str]:
        report, choice = self.report, self.choice
        if choice.walls < 0:
            return [], choice.direction or joist_axis((), corners)
        where = self.sheet.name(choice.walls)
        paths = self.sheet.paths(choice.walls)
        if not self._readable(paths, where):
            return [], choice.direction or joist_axis((), corners)
        found = find_walls([stroke for path in paths for stroke in path.strokes], join=choice.join)
        tell_walls(found, where, report)
        walls = placed_walls(found.walls, placing)
        if len(found.walls) > WALLS_MOST:
            what = counted(len(found.walls) - WALLS_MOST, "wall")
            report.left.append(LeftOut(what, where, f"over the {WALLS_MOST} longest"))
        axis = choice.direction or joist_axis(walls_within(walls, corners), corners)
        inner = inner_walls(walls, corners, where, report)
        taken = inner if choice.along else [wall for wall in inner if not runs_along(wall, axis)]
        if len(taken) < len(inner):
            why = (
                "along the joists, of which they carry none; tick “Also walls along the joists” to take them"
            )
            report.left.append(LeftOut(counted(len(inner) - len(taken), "wall"), where, why))
        kept = floor_walls(taken, corners, boxes, axis, where, report)
        if kept:
            report.taken.append(
                f"{counted(len(kept), 'wall')} from layer “{where}”: {wall_words(kept, self.units)}."
            )
        return kept, axis

    def _tell_left(self, loops: Loops, floors: Sequence[Ring], inner: Sequence[Ring]) -> None:
        report, facts = self.report, self.sheet.facts
        if loops.open:
            why = "close to no outline"
            report.left.append(LeftOut(counted(len(loops.open), "line"), self.layer, why))
        if inner and not self.choice.inside:
            why = "lie inside the outline; tick “Shapes inside the outline are openings” to take them"
            report.left.append(LeftOut(counted(len(inner), "closed shape"), self.layer, why))
        if len(floors) > 1:
            why = "are outlines of other floors; choose one above to take it"
            report.left.append(LeftOut(counted(len(floors) - 1, "closed shape"), self.layer, why))
        picked = {self.sheet.name(layer) for layer in self.choice.layers if layer >= 0}
        report.left += [LeftOut(what, layer, why) for layer, what, why in facts["left"]]
        report.left += [
            LeftOut(what, layer, "the layer was not chosen")
            for layer, what in facts["taken"]
            if layer not in picked
        ]
        report.left = together(report.left)
