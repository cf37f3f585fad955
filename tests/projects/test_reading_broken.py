"""Broken DXF drawings, 600 with SPANYARD_TEST_SCALE=1 and a tenth of that without it: a clear word or a usable answer.

Each goes through its reader in a process under the real limits (512 MB, 20 s). What is read still goes through the
import with every layer as every part, which may refuse but never fails.
"""

from __future__ import annotations

import os
from dataclasses import replace
from random import Random
from typing import Any

from framing.engine.practice import Practice
from framing.projects.draw_start import blank_document
from framing.projects.import_dxf import import_dxf, usual_choice
from framing.projects.import_picture import drawing_svg
from framing.projects.import_reports import layer_rows, unit_rows
from framing.projects.preview import preview_document
from framing.projects.reading import READERS
from tests.projects.reading_dxf_files import L_SHAPE, box, drawing, lines, ring, text_of
from tests.projects.reading_runner import Ran, Tally, mutated, reading_runner

PRACTICE = Practice()
COUNT = max(60, round(600 * float(os.environ.get("SPANYARD_TEST_SCALE", "0.1"))))
LOADED = ("ezdxf.recover.read", "ezdxf.entities.insert.Insert", "shapely.ops.polygonize")
"""Libraries that the reader loads late; the process that forks loads them once."""
NUMBERS = (b"nan", b"inf", b"-1e308", b"1e308", b"0", b"-1", b"999999999999999999", b"1,5", b"", b"0x10")


def seed(version: str) -> bytes:
    """A small floor plan with everything on it."""
    made = drawing(version)
    space = made.modelspace()
    lines(space, L_SHAPE, "FLOOR")
    for corners, layer in ((box((0, 190), (200, 193.5)), "WALL"), (box((40, 40), (84, 160)), "HOLE")):
        if version == "R12":
            space.add_polyline2d(corners, close=True, dxfattribs={"layer": layer})
        else:
            ring(space, corners, layer)
    space.add_arc((100, 100), 40, 10, 200, dxfattribs={"layer": "ARC"})
    space.add_circle((300, 100), 30, dxfattribs={"layer": "ARC"})
    block = made.blocks.new("CHAIR")
    block.add_circle((0, 0), 9)
    block.add_polyline2d([(0, 0, 1), (9, 9, 0), (0, 9, 0)], format="xyb", close=True)
    space.add_blockref("CHAIR", (200, 100), dxfattribs={"rotation": 30, "row_count": 2, "row_spacing": 40})
    space.add_text("STAIR", dxfattribs={"insert": (50, 100)})
    if version != "R12":
        space.add_ellipse((250, 300), (20, 5), 0.4, dxfattribs={"layer": "ARC"})
        space.add_spline([(0, 0), (10, 20), (30, 40), (50, 0)], dxfattribs={"layer": "ARC"})
        space.add_hatch().paths.add_polyline_path(L_SHAPE)
    return text_of(made)


def from_blocks(data: bytes) -> int:
    """Where a file's blocks and entities begin, behind the tables that fill most of it."""
    return data.index(b"SECTION\n  2\nBLOCKS")


def garbled(data: bytes, rng: Random) -> bytes:
    """A drawing with some of its tags changed: values, codes, order, doubles."""
    tags = data.split(b"\n")
    for _ in range(rng.choice((1, 2, 5, 20))):
        at = rng.randrange(len(tags))
        match rng.randrange(5):
            case 0:
                tags[at] = rng.choice(NUMBERS)
            case 1:
                del tags[at : at + rng.choice((1, 2, 10))]
            case 2:
                tags[at:at] = tags[at : at + rng.choice((1, 2, 40))] * rng.choice((1, 5))
            case 3:
                other = rng.randrange(len(tags))
                tags[at], tags[other] = tags[other], tags[at]
            case _:
                tags[at] = rng.choice(
                    (b"INSERT", b"LWPOLYLINE", b"VERTEX", b"SEQEND", b"ENDBLK", b"70", b"10")
                )
        tags = tags or [b"0"]
    return b"\n".join(tags)


def use(facts: dict[str, Any]) -> None:
    """All that the import page does with what was read."""
    blank = blank_document("imperial", "Lot 7")
    usual = usual_choice(facts, "Lot 7")
    layers = range(min(len(facts["layers"]), 6))
    choices = [usual, *(replace(usual, outline=n, openings=n, walls=n, units="in") for n in layers)]
    for choice in choices:
        for more in (choice, replace(choice, inside=True, join=True, along=True, loop=1)):
            found = import_dxf(facts, more, blank)
            assert (found.document is None) == bool(found.problems)
            assert all(problem.message for problem in found.problems)
    usual_floor = import_dxf(facts, usual, blank).document
    if usual_floor is not None:
        assert preview_document(usual_floor, PRACTICE).problems is not None
    assert drawing_svg(facts, usual).endswith("</svg>")
    assert len(layer_rows(facts)) == len(facts["layers"])
    assert unit_rows(facts, usual.outline, "imperial")


def test_broken_drawings_are_read_or_refused_in_words() -> None:
    whole = [seed(version) for version in ("R12", "R2000", "R2018")]
    rng, tally = Random(20261128), Tally()  # noqa: S311 # which files, no secret
    job = READERS["dxf"]

    def check(ran: Ran, name: str) -> None:
        tally.check(ran, name)
        assert ran.outcome.state != "died", f"{name}: {ran.outcome.fault}"
        if ran.outcome.state == "done":
            use(ran.outcome.facts)

    with reading_runner(job, *LOADED) as runner:
        for data in whole:
            check(runner.run(job, data), "an unbroken seed")
        assert tally.states == {"done": 3}
        for number in range(COUNT):
            data = whole[number % 3]
            at = 0 if number % 4 == 0 else from_blocks(data)
            change = mutated if number % 2 else garbled
            broken = data[:at] + change(data[at:], rng)
            check(runner.run(job, broken), f"file {number}")
    print(f"{COUNT} broken drawings: {tally}")  # noqa: T201
    assert tally.states["done"] > COUNT // 4
