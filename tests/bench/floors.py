"""Floors built from code for the benches, and how to make the engine forget what a drawing taught it."""

from __future__ import annotations

import sys

from framing.engine.floor import FloorPlan
from tests.engine.layout.builders import rectangle

LASTING = tuple(
    f"framing.engine.{name}"
    for name in (
        "catalogue",
        "loads",
        "section",
        "sizing.matrix",
        "sizing.patterns",
        "sizing.strengths",
        "strength",
        "tables",
    )
)
"""What these keep comes from the catalogue, whatever is drawn: it is worked out once, when the engine starts."""


def forget() -> None:
    """Empty what the engine keeps between runs: every round starts as after a change of the drawing."""
    for name, module in list(sys.modules.items()):
        if name.startswith("framing.engine"):
            for kept in vars(module).values():
                lasting = str(getattr(kept, "__module__", "")).startswith(LASTING)
                if not lasting and not isinstance(kept, type):
                    getattr(kept, "cache_clear", int)()


def house() -> FloorPlan:
    """A floor of 59 joists over one span."""
    return rectangle("80'", "16'")


def storey(number: int) -> FloorPlan:
    """A long storey of some 630 pieces: two lines of joists over an inner wall, four stairs; no two alike."""
    width = f"{390 + number}'"
    wall = {
        "id": "W1",
        "kind": "wall",
        "from": ["0'", "16'"],
        "to": [width, "16'"],
        "joint": ("lap", "butt")[number % 2],
    }
    stairs = [
        {
            "id": f"S{place}",
            "name": f"Stair {place}",
            "corner": [f"{20 + 60 * place + 2 * number}'", f"{4 + 16 * (place % 2)}'"],
            "size": ["4'", "8'"],
        }
        for place in range(4)
    ]
    return rectangle(width, "32'", supports=[wall], openings=stairs)
