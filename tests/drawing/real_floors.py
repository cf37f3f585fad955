"""Floors as they are drawn by builders: skewed walls, several bays, flush beams, free edges, a stair at a wall."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from framing.engine import Practice, design_floor, load_catalogue, read_document, to_plan
from framing.engine.floor import FloorPlan
from framing.engine.result import FloorResult

Corners = tuple[tuple[float, float], ...]
Part = dict[str, Any]


def bay(name: str, direction: str, corners: Corners = (), **more: Any) -> Part:
    """Corners in feet; none for the whole floor."""
    entry: Part = {"id": name, "direction": direction, "spacing": "16", "profile": "1000S162-54"}
    if corners:
        entry["outline"] = feet(corners)
    return entry | more


def support(name: str, kind: str, corners: Corners, joint: str = "butt") -> Part:
    start, end = feet(corners)
    return {"id": name, "kind": kind, "from": start, "to": end, "joint": joint}


def stair(name: str, corner: tuple[float, float], size: tuple[float, float]) -> Part:
    return {
        "id": name,
        "name": "Stair",
        "kind": "stair",
        "corner": feet((corner,))[0],
        "size": feet((size,))[0],
    }


def load(name: str, words: str, at: tuple[float, float], dead: float, live: float) -> Part:
    return {"id": name, "name": words, "at": feet((at,))[0], "dead_lb": dead, "live_lb": live}


def feet(corners: Corners) -> list[list[str]]:
    """Lengths that say their unit, in imperial and metric documents alike."""
    return [[f"{x:g}'", f"{y:g}'"] for x, y in corners]


def document(name: str, outline: Corners, bays: list[Part], **more: Any) -> Part:
    loads = {"occupancy": "Sleeping rooms", "live_psf": 30, "layers": [{"name": "Floor", "psf": 10}]}
    entry: Part = {"format": "spanyard.floor", "version": 1, "name": name, "level": "1", "units": "imperial"}
    return entry | {"outline": feet(outline), "bays": bays, "load_case": loads} | more


DOCUMENTS = {
    "t shape": document(
        "T shape",
        ((10, 0), (24, 0), (24, 12), (34, 12), (34, 26), (0, 26), (0, 12), (10, 12)),
        [bay("A", "y")],
        supports=[support("W1", "wall", ((10, 12), (24, 12)), "lap")],
    ),
    "trapezoid": document("Trapezoid", ((0, 0), (28, 0), (28, 16.5), (0, 12)), [bay("A", "y")]),
    "steep": document(
        "Steep walls",
        ((0, 0), (30, 0), (30, 14), (16.1436, 22), (0, 22)),
        [bay("A", "y")],
        supports=[support("W1", "wall", ((0, 9), (30, 12)), "lap")],
    ),
    "two ways": document(
        "Two ways",
        ((0, 0), (38, 0), (38, 26), (0, 26)),
        [
            bay("A", "y", ((0, 0), (24, 0), (24, 14), (0, 14))),
            bay("B", "y", ((0, 14), (24, 14), (24, 26), (0, 26)), spacing="12"),
            bay("C", "x", ((24, 0), (38, 0), (38, 26), (24, 26)), start="high"),
        ],
        supports=[
            support("FB1", "flush_beam", ((0, 14), (24, 14))),
            support("W2", "wall", ((24, 0), (24, 26))),
        ],
    ),
    "side by side": document(
        "Side by side",
        ((0, 0), (40, 0), (40, 14), (0, 14)),
        [
            bay("A", "y", ((0, 0), (18.5, 0), (18.5, 14), (0, 14)), spacing="24"),
            bay("B", "y", ((18.5, 0), (40, 0), (40, 14), (18.5, 14)), spacing="12"),
        ],
    ),
    "cantilever": document(
        "Porch",
        ((0, 0), (20, 0), (20, 15), (0, 15)),
        [bay("A", "y", plies=2)],
        supports=[support("W1", "wall", ((0, 2), (20, 2)), "through")],
        edges=[{"edge": 0, "kind": "free"}],
    ),
    "stair at a wall": document(
        "Stair at a wall",
        ((0, 0), (25, 0), (25, 16), (0, 16)),
        [bay("A", "y")],
        openings=[stair("S1", (21.2, 3), (3.5, 9))],
    ),
    "stair at the start": document(
        "Stair at the start",
        ((0, 0), (25, 0), (25, 16), (0, 16)),
        [bay("A", "y")],
        openings=[stair("S1", (0.3, 3), (3.5, 9))],
    ),
    "skewed deck": document(
        "Skewed deck",
        ((0, 0), (18, 0), (20, 14), (0, 14)),
        [bay("A", "x", start="high", spacing="406")],
        supports=[support("W1", "wall", ((16, 0), (16, 14)), "through")],
        edges=[{"edge": 1, "kind": "free"}, {"edge": 3, "kind": "balloon"}],
        units="metric",
    ),
    "long taper": document(
        "Long taper",
        ((0, 0), (60, 0), (60, 22), (24, 30), (24, 22), (0, 19)),
        [bay("A", "y", spacing="12", profile="1200S200-68")],
        supports=[support("Bearing-wall-2", "wall", ((24, 22), (60, 22)), "lap")],
    ),
    "loaded": document(
        "Loaded",
        ((0, 0), (24, 0), (24, 16), (0, 16)),
        [bay("A", "y")],
        openings=[stair("S1", (8, 4), (3.5, 8))],
        point_loads=[
            load("Q1", "Post", (4, 5), 100, 300),
            load("Q2", "Tub with a long name that nobody reads", (15, 11), 250, 900.5),
            load("Q3", "", (9.5, 12.3), 0, 1200),
            load("Q4", "Post", (20.5, 8), 50, 60),
            load("Q5", "Post", (20.5, 8.4), 50, 60),
            load("Q6", "Column", (24, 16), 0, 5000),
        ],
    ),
    "corner house": document(
        "Corner house",
        ((0, 0), (44, 0), (44, 14), (30, 14), (30, 34), (16, 34), (0, 20)),
        [
            bay("A", "y", ((0, 0), (30, 0), (30, 14), (0, 14))),
            bay("B", "x", ((30, 0), (44, 0), (44, 14), (30, 14)), plies=2),
            bay("C", "y", ((0, 14), (30, 14), (30, 34), (0, 34)), spacing="19.2"),
        ],
        supports=[
            support("Wall-1", "wall", ((0, 14), (30, 14))),
            support("W2", "wall", ((30, 0), (30, 14))),
            support("B1", "beam", ((4, 23.5), (30, 23.5)), "lap"),
        ],
        openings=[stair("S1", (20, 2), (3.5, 9))],
    ),
}


@cache
def plan(name: str) -> FloorPlan:
    return to_plan(read_document(json.dumps(DOCUMENTS[name]).encode()), Practice())


@cache
def floor(name: str) -> FloorResult:
    return design_floor(plan(name), load_catalogue(), Practice())
