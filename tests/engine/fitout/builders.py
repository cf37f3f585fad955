"""Floors for fit-out tests: inches in, plans out, laid out by hand (`layout`) or by the layout step (`laid`).

Positions are typed in inches and must be whole sixteenths.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from framing.engine.catalogue import load_catalogue
from framing.engine.document import read_document, to_plan
from framing.engine.fitout import fit_out
from framing.engine.floor import (
    Bay,
    DeadLayer,
    Edge,
    EdgeKind,
    FloorPlan,
    Joint,
    LoadCase,
    Opening,
    OpeningKind,
    Support,
    SupportKind,
)
from framing.engine.geometry import Frame, Point, Rect
from framing.engine.layout import assign_marks, layout_floor
from framing.engine.members import (
    BayLayout,
    EndKind,
    FramedOpening,
    Member,
    MemberEnd,
    MemberKind,
    Piece,
    Span,
)
from framing.engine.placement import Placed
from framing.engine.practice import Practice
from framing.engine.result import BomLine
from framing.engine.takeoff import bill_of_materials

PROFILE = "1000S162-54"
FLANGE = 1.625

Inches = float | Fraction


def in16(inches: Inches) -> int:
    """Sixteenths of a typed length; refuses one that is no whole sixteenth."""
    value = Fraction(inches).limit_denominator(1000) * 16
    assert value.denominator == 1, inches
    return int(value)


def plan(
    corners: Sequence[tuple[Inches, Inches]],
    kinds: Sequence[EdgeKind],
    *,
    spacing: Inches = 16,
    supports: Iterable[tuple[str, Inches, Inches, Inches]] = (),
    openings: Iterable[tuple[str, Inches, Inches, Inches, Inches]] = (),
) -> FloorPlan:
    """Joists along y; supports are (id, x low, x high, y), openings (id, x, y, width, height)."""
    spacing_16 = Fraction(spacing).limit_denominator(10) * 16
    return FloorPlan(
        name="Test floor",
        level="2",
        units="imperial",
        outline=tuple(Point(in16(x), in16(y)) for x, y in corners),
        edges=tuple(Edge(i, kind, 88) for i, kind in enumerate(kinds)),
        bays=(Bay("A", (), "y", "low", spacing_16, spacing_16, PROFILE),),
        load_case=LoadCase("Living area", 40.0, (DeadLayer("Floor", 10.0),)),
        supports=tuple(
            Support(i, SupportKind.WALL, Point(in16(a), in16(y)), Point(in16(b), in16(y)), 56, Joint.LAP)
            for i, a, b, y in supports
        ),
        openings=tuple(
            Opening(
                i,
                i,
                OpeningKind.STAIR,
                Rect(Point(in16(x), in16(y)), Point(in16(x + w), in16(y + h))),
            )
            for i, x, y, w, h in openings
        ),
    )


def end(kind: EndKind, host: str, face: Inches) -> MemberEnd:
    return MemberEnd(kind, host, in16(face))


def joist(
    number: int,
    centre: Inches,
    reach: tuple[Inches, Inches],
    low: MemberEnd,
    high: MemberEnd,
    *,
    kind: MemberKind = MemberKind.JOIST,
    plies: int = 1,
    line: int = 0,
    shifted: bool = False,
    station: int | None = None,
) -> Member:
    """One member; `reach` are its cut ends. Headers run across, all others along."""
    member_id = f"A.{kind.value}{number}"
    return Member(
        id=member_id,
        kind=kind,
        bay="A",
        profile=PROFILE,
        plies=plies,
        runs="across" if kind is MemberKind.HEADER else "along",
        centre_16=in16(centre),
        width_16=plies * in16(FLANGE),
        low_16=in16(reach[0]),
        high_16=in16(reach[1]),
        low=low,
        high=high,
        line=line,
        shifted=shifted,
        station=station,
        mark=f"2{kind.value}{in16(reach[1]) - in16(reach[0])}",
        sequence=number,
    )


def layout(
    floor: FloorPlan,
    members: Sequence[Member],
    spans: Sequence[Span],
    openings: Sequence[FramedOpening] = (),
) -> BayLayout:
    return BayLayout(
        floor.bays[0], Frame("y", 0), PROFILE, tuple(members), tuple(openings), tuple(spans), None
    )


def span(index: int, low: Inches, high: Inches, width: Inches) -> Span:
    """A span whose faces are the same over the whole width."""
    return Span(index, in16(low), in16(high), ((0, in16(width), in16(low), in16(high)),))


def laid(floor: FloorPlan) -> BayLayout:
    """The floor's one bay from the layout step, punched and marked."""
    (bay,) = laid_bays(floor)
    return bay


def laid_bays(floor: FloorPlan) -> tuple[BayLayout, ...]:
    """All bays from the layout step, punched and marked."""
    profiles = {bay.id: load_catalogue().profile(PROFILE) for bay in floor.bays}
    layouts = layout_floor(floor, profiles, Practice())
    return assign_marks(floor, layouts, profiles, Practice())


def typed(outline: Sequence[tuple[Inches, Inches]], **rest: Any) -> FloorPlan:
    """A floor from a document, as typed in inches; `bays` without a drawn outline fill the floor."""
    document = {
        "format": "spanyard.floor",
        "version": 1,
        "name": "Typed",
        "outline": [list(corner) for corner in outline],
        "bays": [{"direction": "y"}],
        "load_case": {"occupancy": "Rooms", "live_psf": 40, "layers": [{"name": "All", "psf": 10}]},
        **rest,
    }
    return to_plan(read_document(document), Practice())


def things(floor: FloorPlan) -> tuple[Placed, ...]:
    """What fit-out places on the laid out floor."""
    return fit_out(floor, laid_bays(floor), load_catalogue(), Practice())[0]


def bill_of(floor: FloorPlan, bay: BayLayout) -> dict[str, BomLine]:
    """The floor's bill by code, with the demo catalogue and default practice."""
    placed, _ = fit_out(floor, [bay], load_catalogue(), Practice())
    lines = bill_of_materials([bay], pieces(bay), placed, load_catalogue(), Practice())
    return {line.code: line for line in lines}


def pieces(bay: BayLayout) -> tuple[Piece, ...]:
    return tuple(
        Piece(f"{m.id}/{ply}", m.id, m.mark, m.profile, m.length_16, m.sequence, "1")
        for m in bay.members
        for ply in range(m.plies)
    )


RECTANGLE = (EdgeKind.PLATFORM, EdgeKind.PARALLEL, EdgeKind.PLATFORM, EdgeKind.PARALLEL)


def rectangle(
    width: Inches, depth: Inches, *, spacing: Inches = 16, low: EdgeKind = EdgeKind.PLATFORM
) -> tuple[FloorPlan, BayLayout]:
    """Single-span joists on every station less than the width, high edge platform, low edge as told."""
    kinds = (low, *RECTANGLE[1:])
    floor = plan([(0, 0), (width, 0), (width, depth), (0, depth)], kinds, spacing=spacing)
    step = floor.bays[0].spacing_16
    low_face = 5.5 if low is EdgeKind.PLATFORM else 1.125
    low_kind = EndKind.PLATFORM if low is EdgeKind.PLATFORM else EndKind.BALLOON
    low_end, high_end = end(low_kind, "edge:0", low_face), end(EndKind.PLATFORM, "edge:2", depth - 5.5)
    members = []
    k = 0
    while (k + 1) * step < in16(width):
        centre = Fraction(int((k + 1) * step + Fraction(1, 2)), 16)
        members.append(joist(k + 1, centre, (1.5, depth - 1.5), low_end, high_end, station=k))
        k += 1
    return floor, layout(floor, members, [span(0, low_face, depth - 5.5, width)])


def lapped_with_stair() -> tuple[FloorPlan, BayLayout]:
    """40 ft x 24 ft, lapped on a wall at 12 ft, a stair 40 in x 80 in at (120, 36), all as worked by hand."""
    floor = plan(
        [(0, 0), (480, 0), (480, 288), (0, 288)],
        RECTANGLE,
        supports=[("W1", 0, 480, 144)],
        openings=[("Stair", 120, 36, 40, 80)],
    )
    bearing, far = end(EndKind.PLATFORM, "edge:0", 5.5), end(EndKind.PLATFORM, "edge:2", 282.5)
    lap_1, lap_2 = end(EndKind.LAP, "support:W1", 142.25), end(EndKind.LAP, "support:W1", 145.75)
    header_1, header_2 = end(EndKind.HEADER, "A.H1", 31.625), end(EndKind.HEADER, "A.H2", 120.375)
    trimmer_1, trimmer_2 = end(EndKind.TRIMMER, "A.T1", 118.875), end(EndKind.TRIMMER, "A.T2", 161.125)
    members = []
    for k in range(29):
        x = 16 * (k + 1)
        if x in (128, 144, 160):
            members.append(joist(100 + k, x, (1.5, 31.25), bearing, header_1, station=k))
            members.append(joist(200 + k, x, (120.75, 150), header_2, lap_1, station=k))
        else:
            members.append(joist(k + 1, x, (1.5, 150), bearing, lap_1, station=k))
        members.append(joist(300 + k, x + FLANGE, (138, 286.5), lap_2, far, line=1, shifted=True, station=k))
    two = {"plies": 2}
    trimmer, header = MemberKind.TRIMMER, MemberKind.HEADER
    members += [
        joist(1, 117.25, (1.5, 150), bearing, lap_1, kind=trimmer, **two),
        joist(2, 162.75, (1.5, 150), bearing, lap_1, kind=trimmer, **two),
        joist(1, 33.25, (119.25, 160.75), trimmer_1, trimmer_2, kind=header, **two),
        joist(2, 118.75, (119.25, 160.75), trimmer_1, trimmer_2, kind=header, **two),
    ]
    framed = FramedOpening("Stair", in16(120), in16(160), in16(36), in16(116), "A.T1", "A.T2", "A.H1", "A.H2")
    spans = [span(0, 5.5, 142.25, 480), span(1, 145.75, 282.5, 480)]
    return floor, layout(floor, members, spans, [framed])


def l_shape() -> tuple[FloorPlan, BayLayout]:
    """32 ft x 12 ft with 20 ft x 8 ft on top at the start side; single spans."""
    parallel, platform = EdgeKind.PARALLEL, EdgeKind.PLATFORM
    floor = plan(
        [(0, 0), (384, 0), (384, 144), (240, 144), (240, 240), (0, 240)],
        [platform, parallel, platform, parallel, platform, parallel],
    )
    low = end(EndKind.PLATFORM, "edge:0", 5.5)
    long, short = end(EndKind.PLATFORM, "edge:4", 234.5), end(EndKind.PLATFORM, "edge:2", 138.5)
    members = [joist(k + 1, 16 * (k + 1), (1.5, 238.5), low, long, station=k) for k in range(14)]
    members += [joist(k + 1, 16 * (k + 1), (1.5, 142.5), low, short, station=k) for k in range(14, 23)]
    reach = ((0, in16(240), in16(5.5), in16(234.5)), (in16(240), in16(384), in16(5.5), in16(138.5)))
    return floor, layout(floor, members, [Span(0, in16(5.5), in16(234.5), reach)])
