"""The DXF drawing, read back by the library that others read it with: every piece at its true place and size."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing

from framing.drawing import CAUTION
from framing.drawing.dxf import plan_dxf
from framing.drawing.dxf_layers import KIND_LAYERS, LAYERS
from framing.drawing.dxf_marks import MARK, mark_places, member_box
from framing.drawing.paper import Spot, box_at
from framing.engine import Practice, design_floor, load_catalogue, read_document, to_plan
from framing.engine.document import rectangle_document
from framing.engine.floor import Opening
from framing.engine.result import FloorResult
from tests.drawing import builders as made

PLANS = Path(__file__).parents[1] / "plans"
OWN_LAYERS = [layer.name for layer in LAYERS]


@cache
def house() -> FloorResult:
    document = read_document((PLANS / "house.json").read_bytes())
    return design_floor(to_plan(document, Practice()), load_catalogue(), Practice())


@cache
def shed(start: str = "low") -> FloorResult:
    """8 ft by 10 ft, joists along y at 16 in; 5 joists of 10 ft less 2 x 1 1/2 in."""
    document = rectangle_document(name="Shed", width="8'", depth="10'", direction="y", spacing="16")
    plan = to_plan(document, Practice())
    plan = replace(plan, bays=tuple(replace(bay, start=start) for bay in plan.bays))
    return design_floor(plan, load_catalogue(), Practice())


FLOORS = {
    "house": house,
    "shed": shed,
    "house by hand": made.house,
    "turned house": lambda: made.turned(made.house()),
    "turned ell": lambda: made.turned(made.ell()),
    "metric": lambda: made.bare_floor(3780, 2646, units="metric"),
}


def read(text: str) -> Drawing:
    return ezdxf.read(io.StringIO(text))  # type: ignore[attr-defined]


def rings(drawing: Drawing, layer: str) -> list[list[tuple[float, float]]]:
    found = drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    return [[(x, y) for x, y, *_ in ring.get_points()] for ring in found]


def sides(ring: list[tuple[float, float]]) -> list[float]:
    """Short and long side of the ring's box."""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return sorted((max(xs) - min(xs), max(ys) - min(ys)))


@pytest.mark.parametrize("name", FLOORS)
def test_every_piece_stands_on_its_layer_at_its_length_and_flange_width(name: str) -> None:
    result = FLOORS[name]()
    drawing = read(plan_dxf(result))
    audit = drawing.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    for layer in ("JOISTS", "TRIMMERS", "HEADERS"):
        wanted = Counter(
            (member.width_16 / member.plies / 16, member.length_16 / 16)
            for member in result.members
            if KIND_LAYERS[member.kind] == layer
            for _ in range(member.plies)
        )
        assert Counter(tuple(sides(ring)) for ring in rings(drawing, layer)) == wanted
    assert sum(len(rings(drawing, layer)) for layer in ("JOISTS", "TRIMMERS", "HEADERS")) == sum(
        member.plies for member in result.members
    )


def test_pieces_of_the_designed_house_are_all_there() -> None:
    drawing = read(plan_dxf(house()))
    lengths = sorted(
        sides(ring)[1] for layer in ("JOISTS", "TRIMMERS", "HEADERS") for ring in rings(drawing, layer)
    )
    assert lengths == sorted(piece.length_16 / 16 for piece in house().pieces)
    signs = Counter(entity.dxf.layer for entity in drawing.modelspace().query("CIRCLE"))
    assert signs["HOLES"] == sum(len(member.holes_16) for member in house().members)
    lines = Counter(entity.dxf.layer for entity in drawing.modelspace().query("LINE"))
    assert lines["BRIDGING"] == sum(len(line.runs) for line in house().lines)
    blocks = [thing for thing in house().placed if thing.item.value in ("solid_block", "ladder_block")]
    assert lines["BLOCKS"] == len(blocks)
    words = Counter(text.dxf.text for text in drawing.modelspace().query('TEXT[layer=="MARKS"]'))
    assert words == Counter(member.mark for member in house().members)
    assert {entity.dxf.layer for entity in drawing.modelspace()} == set(OWN_LAYERS)


def test_places_by_hand() -> None:
    """The first joist's middle is 16 in from the low edge, its flange 2 in wide; it starts 1 1/2 in inside."""
    joists = rings(read(plan_dxf(shed())), "JOISTS")
    assert len(joists) == 5
    assert joists[0] == [(15.0, 1.5), (15.0, 118.5), (17.0, 118.5), (17.0, 1.5)]
    counted_back = rings(read(plan_dxf(shed("high"))), "JOISTS")
    assert sorted(counted_back[0]) == [(79.0, 1.5), (79.0, 118.5), (81.0, 1.5), (81.0, 118.5)]
    hole = read(plan_dxf(shed())).modelspace().query("CIRCLE").first
    assert hole is not None
    assert hole.dxf.center.x == 16.0
    assert hole.dxf.center.y == 1.5 + 360 / 16  # 22 1/2 in from the printed end


def test_units_and_layers_are_said() -> None:
    drawing = read(plan_dxf(shed()))
    assert drawing.dxfversion == "AC1024"
    assert drawing.header["$INSUNITS"] == 1
    for layer in LAYERS:
        found = drawing.layers.get(layer.name)
        assert (found.color, found.dxf.lineweight) == (layer.colour, layer.line_weight)
        assert found.dxf.linetype == ("DASHED" if layer.dashed else "Continuous")
    assert len({layer.name for layer in LAYERS}) == len(LAYERS)


def test_a_piece_tells_its_member_mark_profile_length_and_ply() -> None:
    trimmers = read(plan_dxf(house())).modelspace().query('LWPOLYLINE[layer=="TRIMMERS"]')
    told = [[tag.value for tag in ring.get_xdata("SPANYARD")] for ring in trimmers]
    assert told[:2] == [
        ["A.T1", "1T01", "800S200-43", 178.5, 1],
        ["A.T1", "1T01", "800S200-43", 178.5, 2],
    ]


def test_marks_stand_on_no_member_of_the_house() -> None:
    marks = mark_places(house())
    boxes = [member_box(layout.frame, member) for layout in house().bays for member in layout.members]
    for member in house().members:
        mark = marks[member.id]
        long = len(member.mark) * MARK * 0.9
        size = (MARK, long) if mark.turned else (long, MARK)
        box = box_at(Spot(*mark.at), *size)
        assert not any(box.meets(other) for other in boxes), member.id


def test_title_and_cautions_stand_under_the_plan_on_lines_of_their_own() -> None:
    drawing = read(plan_dxf(shed(), title=["Alder\nCourt\x00 = lot 14", "Shed, version 2"]))
    notes = [text.dxf.text for text in drawing.modelspace().query('TEXT[layer=="NOTES"]')]
    assert notes[:2] == ["Alder Court = lot 14", "Shed, version 2"]
    assert " ".join(notes[2:]) == " ".join(CAUTION)
    tops = [text.dxf.align_point.y for text in drawing.modelspace().query('TEXT[layer=="NOTES"]')]
    assert tops == sorted(tops, reverse=True)
    assert max(tops) < 0


def test_an_opening_has_its_name_and_size_whatever_the_name() -> None:
    result = house()
    named = tuple(replace(o, name="Stair \U0001f600 µ\t2") for o in result.plan.openings)
    assert all(isinstance(opening, Opening) for opening in named)
    drawing = read(plan_dxf(replace(result, plan=replace(result.plan, openings=named))))
    words = [text.dxf.text for text in drawing.modelspace().query('TEXT[layer=="OPENINGS"]')]
    assert words == ["Stair \U0001f600 µ 2", "3'-6\" × 10'-0\""]  # noqa: RUF001
    assert not drawing.audit().errors


def test_strings_of_the_printed_plan_measure_the_outline() -> None:
    drawing = read(plan_dxf(shed()))
    words = [text.dxf.text for text in drawing.modelspace().query('TEXT[layer=="DIMENSIONS"]')]
    assert "8'-0\"" in words
    assert "10'-0\"" in words
    lines = [
        abs(line.dxf.end.x - line.dxf.start.x)
        for line in drawing.modelspace().query('LINE[layer=="DIMENSIONS"]')
        if line.dxf.end.y == line.dxf.start.y
    ]
    assert max(lines) == pytest.approx(96.0, abs=0.002)


def test_a_second_process_writes_the_same_bytes() -> None:
    code = (
        "import sys; from tests.drawing import builders as b; from framing.drawing.dxf import plan_dxf; "
        "sys.stdout.write(plan_dxf(b.house()))"
    )
    seed = {**os.environ, "PYTHONHASHSEED": "7", "PYTHONIOENCODING": "utf-8"}
    root = Path(__file__).parents[2]
    again = subprocess.run(
        [sys.executable, "-c", code], cwd=root, env=seed, capture_output=True, check=True, encoding="utf-8"
    )
    assert again.stdout == plan_dxf(made.house())
