"""From the floor document as typed to the `FloorPlan` that the engine designs: lengths read, defaults set."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from framing.engine.document.shape import (
    BayEntry,
    EdgeEntry,
    FloorDocument,
    Length,
    LoadCaseEntry,
    Pair,
    SupportEntry,
)
from framing.engine.errors import DocumentRefused, LengthUnreadable, Problem
from framing.engine.floor import (
    FARTHEST_16,
    Bay,
    DeadLayer,
    Edge,
    EdgeKind,
    FloorPlan,
    Joint,
    LoadCase,
    Opening,
    OpeningKind,
    Partition,
    StandingLoad,
    Support,
    SupportKind,
    Units,
)
from framing.engine.geometry import Point, Rect, signed_area_2
from framing.engine.practice import Practice
from framing.engine.units import format_length, parse_length_exact, round_half_up

OFFERED_16 = (Fraction(192), Fraction(256), Fraction(1536, 5), Fraction(384))
"""Spacings of R3: 12, 16, 19.2 and 24 in."""
_SNAP_16 = {"imperial": Fraction(1, 2), "metric": Fraction(160, 254)}


def to_plan(document: FloorDocument, practice: Practice) -> FloorPlan:
    """The floor that `document` describes, in sixteenths, outline counter-clockwise.

    Widths and offsets left open take the practice's values (R2, R3). Raises DocumentRefused with one problem
    per length that can't be read; whether the floor can be built is for `floor_checks.check_floor`.
    """
    read = _Reader(document.units)
    typed = tuple(read.point(pair, f"outline.{index}") for index, pair in enumerate(document.outline))
    flipped = signed_area_2(typed) < 0
    outline = typed[:1] + typed[:0:-1] if flipped else typed
    bays = tuple(_bay(entry, f"bays.{index}", read) for index, entry in enumerate(document.bays))
    plan = FloorPlan(
        name=document.name,
        level=document.level,
        units=document.units,
        outline=outline,
        edges=_edges(outline, bays, _edge_entries(document, flipped), read, practice),
        bays=bays,
        load_case=_load_case(document.load_case),
        supports=_supports(document, read, practice),
        openings=_openings(document, read),
        partitions=_partitions(document, read),
        repeat=document.repeat,
        point_loads=_point_loads(document, read),
        plies=tuple((f"{entry.of}:{entry.part}", entry.plies) for entry in document.overrides.plies),
    )
    if read.problems:
        raise DocumentRefused(tuple(read.problems))
    return plan


class _Reader:
    """Reads lengths in the document's units and gathers every problem before refusing."""

    def __init__(self, units: Units) -> None:
        self.units = units
        self.problems: list[Problem] = []

    def exact(self, value: Length, place: str, *, negative: bool = False) -> Fraction:
        # repr keeps what was typed (12.1 is 12.1); Decimal writes it without an exponent.
        text = value if isinstance(value, str) else format(Decimal(repr(value)), "f")
        try:
            length = parse_length_exact(text[:400], self.units, allow_negative=negative)
        except LengthUnreadable as error:
            self.problems.append(Problem(place, error.message))
            return Fraction(0)
        if abs(length) > FARTHEST_16:
            limit = format_length(FARTHEST_16, self.units)
            self.problems.append(
                Problem(place, f"“{text[:40]}” is over the limit of {limit}; check the units.")
            )
            return Fraction(0)
        return length

    def length(self, value: Length, place: str) -> int:
        return round_half_up(self.exact(value, place))

    def point(self, pair: Pair, place: str) -> Point:
        x, y = (round_half_up(self.exact(pair[i], f"{place}.{i}", negative=True)) for i in (0, 1))
        return Point(x, y)


def _edge_entries(document: FloorDocument, flipped: bool) -> dict[int, tuple[int, EdgeEntry]]:
    """Edge index in the plan -> (place in the document, entry); turning the outline renumbers its edges."""
    last = len(document.outline) - 1
    return {(last - e.edge if flipped else e.edge): (place, e) for place, e in enumerate(document.edges)}


def _edges(
    outline: tuple[Point, ...],
    bays: tuple[Bay, ...],
    entries: dict[int, tuple[int, EdgeEntry]],
    read: _Reader,
    practice: Practice,
) -> tuple[Edge, ...]:
    """Each edge as given, else parallel where one bay's joists run exactly along it, else platform.

    With several bays an edge can be beside the joists of one and end those of the next: the layout finds out.
    """
    edges = []
    for index, (a, b) in enumerate(zip(outline, outline[1:] + outline[:1], strict=True)):
        beside = a.x_16 == b.x_16 if bays[0].axis == "y" else a.y_16 == b.y_16
        kind = EdgeKind.PARALLEL if beside and len(bays) == 1 else EdgeKind.PLATFORM
        width_16 = practice.outside_bearing_16
        if index in entries:
            place, entry = entries[index]
            kind = EdgeKind(entry.kind) if entry.kind else kind
            if entry.width is not None:
                width_16 = read.length(entry.width, f"edges.{place}.width")
        edges.append(Edge(index, kind, width_16))
    return tuple(edges)


def _bay(entry: BayEntry, place: str, read: _Reader) -> Bay:
    spacing_16 = _snap(read.exact(entry.spacing, f"{place}.spacing"), read.units)
    offset_16 = spacing_16 if entry.offset is None else read.exact(entry.offset, f"{place}.offset")
    ring = tuple(read.point(pair, f"{place}.outline.{i}") for i, pair in enumerate(entry.outline or ()))
    return Bay(
        id=entry.id,
        ring=ring,
        axis=entry.direction,
        start=entry.start,
        spacing_16=spacing_16,
        offset_16=offset_16,
        profile=entry.profile or None,
        plies=entry.plies,
        load_case=None if entry.load_case is None else _load_case(entry.load_case),
    )


def _snap(spacing_16: Fraction, units: Units) -> Fraction:
    """An offered spacing where one was meant (19 3/16 in for 19.2 in, 406 mm for 16 in), else as typed."""
    near = min(OFFERED_16, key=lambda offered: abs(offered - spacing_16))
    return near if abs(near - spacing_16) <= _SNAP_16[units] else spacing_16


def _supports(document: FloorDocument, read: _Reader, practice: Practice) -> tuple[Support, ...]:
    found = []
    for index, entry in enumerate(document.supports):
        place = f"supports.{index}"
        width_16 = _support_width_16(entry, f"{place}.width", read, practice)
        start, end = read.point(entry.start, f"{place}.from"), read.point(entry.end, f"{place}.to")
        found.append(Support(entry.id, SupportKind(entry.kind), start, end, width_16, Joint(entry.joint)))
    return tuple(found)


def _support_width_16(entry: SupportEntry, place: str, read: _Reader, practice: Practice) -> int:
    """The bearing's width; 0 at a flush beam, which is as wide as its plies make it."""
    if entry.kind == "flush_beam":
        if entry.width is not None:
            words = "A flush beam takes no width, it is as wide as its plies; leave the width empty."
            read.problems.append(Problem(place, words))
        return 0
    return practice.inside_bearing_16 if entry.width is None else read.length(entry.width, place)


def _openings(document: FloorDocument, read: _Reader) -> tuple[Opening, ...]:
    found = []
    for index, entry in enumerate(document.openings):
        low = read.point(entry.corner, f"openings.{index}.corner")
        width, height = (read.length(entry.size[i], f"openings.{index}.size.{i}") for i in (0, 1))
        rect = Rect(low, Point(low.x_16 + width, low.y_16 + height))
        found.append(Opening(entry.id, entry.name or entry.id, OpeningKind(entry.kind), rect))
    return tuple(found)


def _partitions(document: FloorDocument, read: _Reader) -> tuple[Partition, ...]:
    found = []
    for index, entry in enumerate(document.partitions):
        start = read.point(entry.start, f"partitions.{index}.from")
        end = read.point(entry.end, f"partitions.{index}.to")
        found.append(Partition(entry.id, start, end, entry.bearing, float(entry.load_plf)))
    return tuple(found)


def _point_loads(document: FloorDocument, read: _Reader) -> tuple[StandingLoad, ...]:
    return tuple(
        StandingLoad(
            entry.id,
            entry.name,
            read.point(entry.at, f"point_loads.{index}.at"),
            float(entry.dead_lb),
            float(entry.live_lb),
        )
        for index, entry in enumerate(document.point_loads)
    )


def _load_case(entry: LoadCaseEntry) -> LoadCase:
    layers = tuple(DeadLayer(layer.name, float(layer.psf)) for layer in entry.layers)
    return LoadCase(entry.occupancy, float(entry.live_psf), layers, float(entry.partition_psf))
