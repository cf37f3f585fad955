"""A small engine result made by hand, so that what prices and stores one is tested without the engine.

One bay 8 ft wide and 10 ft deep with five joists of 1000S162-54, 9'-9" long, two service holes each.
"""

from fractions import Fraction
from typing import Any

from framing.engine.errors import Problem
from framing.engine.floor import Bay, DeadLayer, Edge, EdgeKind, FloorPlan, LoadCase
from framing.engine.geometry import Frame, Point
from framing.engine.members import BayLayout, EndKind, Member, MemberEnd, MemberKind, Piece, Span
from framing.engine.placement import Item, Placed
from framing.engine.result import (
    BomLine,
    Bundle,
    BundlePiece,
    Carton,
    Check,
    FloorResult,
    MemberCheck,
    Option,
    PackageResult,
    ScheduleLine,
    Term,
    TruckLoad,
)

FT = 192
PROFILE = "1000S162-54"
LENGTH_16 = 9 * FT + 9 * 16


def plan(name: str = "Ground floor", repeat: int = 1) -> FloorPlan:
    corners = (Point(0, 0), Point(8 * FT, 0), Point(8 * FT, 10 * FT), Point(0, 10 * FT))
    kinds = (EdgeKind.PLATFORM, EdgeKind.PARALLEL) * 2
    return FloorPlan(
        name=name,
        level="1",
        units="imperial",
        outline=corners,
        edges=tuple(Edge(i, kind, 88) for i, kind in enumerate(kinds)),
        bays=(_bay(),),
        load_case=LoadCase("Dwelling rooms", 40.0, (DeadLayer("Floor finish", 10.0),)),
        repeat=repeat,
    )


def _bay() -> Bay:
    return Bay("A", (), "y", "low", Fraction(256), Fraction(256))


def _member(index: int, holes: tuple[int, ...]) -> Member:
    low = MemberEnd(EndKind.PLATFORM, "edge:0", 88)
    high = MemberEnd(EndKind.PLATFORM, "edge:2", 10 * FT - 88)
    return Member(
        id=f"A.J{index}",
        kind=MemberKind.JOIST,
        bay="A",
        profile=PROFILE,
        plies=1,
        runs="along",
        centre_16=256 * index,
        width_16=26,
        low_16=24,
        high_16=24 + LENGTH_16,
        low=low,
        high=high,
        station=index - 1,
        holes_16=holes,
        mark="1J01",
        sequence=index,
        why="R3 station",
    )


def line(code: str, group: str, exact: int, **more: Any) -> BomLine:
    """A bill line with one derivation term over everything it counts."""
    values: dict[str, Any] = {
        "description": code,
        "unit": "piece",
        "bought": exact,
        "sold_by": "piece",
        "pack": 1,
        "weight_lb": 1.0,
        "terms": (Term("counted on the plan", "R20", exact, ()),),
    }
    return BomLine(code=code, group=group, exact=exact, **(values | more))


def bill() -> tuple[BomLine, ...]:
    """Five joists, ten clips, 100 self-drilling screws and three sheets."""
    steel = 5 * LENGTH_16
    return (
        line(PROFILE, "members", steel, unit="length_16", bought=49, sold_by="ft", weight_lb=129.675),
        line("bearing_clip:1000", "hardware", 10),
        line("strap", "hardware", 8 * FT + 7, unit="length_16", bought=9, sold_by="ft"),
        line("steel_screw", "fasteners", 100, bought=1, sold_by="box", pack=250),
        line("sheathing_panel", "sheathing", 3, sold_by="sheet"),
    )


def floor(name: str = "Ground floor", *, repeat: int = 1, passes: bool = True) -> FloorResult:
    members = tuple(_member(i, (400, 784)) for i in range(1, 6))
    frame = Frame("y", 0)
    span = Span(0, 88, 10 * FT - 88, ((0, 8 * FT, 88, 10 * FT - 88),))
    demand = 20.0 if passes else 40.0
    check = Check("moment", demand, 31.11, "kip-in", "AISI S100 F2", (("span", "9'-6 1/2\""),))
    ids = tuple(member.id for member in members)
    return FloorResult(
        plan=plan(name, repeat),
        bays=(BayLayout(_bay(), frame, PROFILE, members, (), (span,), 400),),
        pieces=tuple(Piece(f"{m.id}/0", m.id, m.mark, PROFILE, LENGTH_16, m.sequence, "A") for m in members),
        lines=(),
        placed=(
            Placed(
                "clip:A.J1:low:0", Item.BEARING_CLIP, "1000", 1, "piece", Point(256, 0), "R20", "ends", "A.J1"
            ),
        ),
        bill=bill(),
        schedule=(ScheduleLine("1J01", MemberKind.JOIST, PROFILE, 1, LENGTH_16, 5, 5, (400, 784), 129.675),),
        checks=(MemberCheck(ids, "Joists", PROFILE, 1, 114.5, (check,), 0),),
        options=(Option("A", PROFILE, 16.0, passes, demand / 31.11, "moment", "", 129.675),),
        warnings=() if passes else (Problem("bays.0", "Joists fail in bending."),),
    )


def package(*floors: FloorResult, trucks: int = 1) -> PackageResult:
    """A package of the given floors (one ground floor if none), bundled in one short bundle."""
    chosen = floors or (floor(),)
    pieces = tuple(
        BundlePiece(0, 1, piece.id, piece.mark, piece.length_16, piece.sequence, 25.9)
        for piece in chosen[0].pieces
    )
    bundle = Bundle(1, PROFILE, pieces, 129.7, LENGTH_16, "Ground floor, bay A", True, "fewer than 8 pieces")
    return PackageResult(
        engine_version="0.1.0",
        catalogue_version="demo",
        practice_name="Standard",
        practice_version=1,
        floors=chosen,
        bundles=(bundle,),
        cartons=(Carton(1, "Hardware", (("Bearing clips", 10, "piece"),), 12.0),),
        loads=tuple(TruckLoad(n + 1, (0,) if n == 0 else (), (0,), 141.7) for n in range(trucks)),
        notes=(),
    )
