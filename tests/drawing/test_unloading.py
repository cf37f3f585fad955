"""Where bundles go on a floor: each bundle's members in one path of its own, all others in one without a number."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from framing.drawing.unloading import unloading_svg
from framing.engine import Practice, design_floor, load_catalogue, read_document, to_plan
from framing.engine.result import FloorResult
from tests.drawing.reading import SVG, root_of, strokes_of

PLANS = Path(__file__).parents[1] / "plans"


@cache
def house() -> FloorResult:
    practice = Practice()
    plan = to_plan(read_document((PLANS / "house.json").read_bytes()), practice)
    return design_floor(plan, load_catalogue(), practice)


def lots_of(svg: str) -> dict[str, int]:
    """Strokes by the bundle's number, "" for those of none."""
    group = next(g for g in root_of(svg).iter(f"{SVG}g") if g.get("class") == "dw-joist")
    return {path.get("data-lot", ""): len(list(strokes_of(path))) for path in group}


def test_every_piece_is_one_line_in_the_path_of_its_bundle() -> None:
    floor = house()
    ids = [piece.id for piece in floor.pieces]
    lots = {7: ids[:9], 2: [*ids[9:13], "another floor's/1"]}
    found = lots_of(unloading_svg(floor, lots, "House: where bundles go"))
    assert found == {"2": 4, "7": 9, "": len(ids) - 13}


def test_without_bundles_the_floor_stands_alone() -> None:
    floor = house()
    svg = unloading_svg(floor, {}, "House <unloading>")
    assert lots_of(svg) == {"": len(floor.pieces)}
    assert "House &lt;unloading&gt;" in svg
    assert len(svg) < 20_000, "small enough for a telephone"
    openings = list(root_of(svg).iter(f"{SVG}polygon"))
    assert len(openings) == len(floor.plan.openings) + 1
