"""Floors for the layout tests, laid out with a joist of 1 5/8 in flange and 1 1/2 x 4 in holes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from framing.engine.catalogue import JoistProfile, load_catalogue
from framing.engine.document import FloorDocument, read_document, rectangle_document, to_plan
from framing.engine.floor import FloorPlan
from framing.engine.floor_checks import check_floor
from framing.engine.layout import assign_marks, layout_floor
from framing.engine.members import BayLayout, Member, MemberKind
from framing.engine.practice import Practice

PLANS = Path(__file__).resolve().parents[2] / "plans"
PRACTICE = Practice()
JOIST: JoistProfile = load_catalogue().profile("1000S162-54")
STEEL = {"A": JOIST}


def plan_of(document: FloorDocument) -> FloorPlan:
    plan = to_plan(document, PRACTICE)
    check_floor(plan, PRACTICE)
    return plan


def sample(name: str) -> FloorPlan:
    return plan_of(read_document((PLANS / f"{name}.json").read_bytes()))


def lay(plan: FloorPlan, **plies: int) -> BayLayout:
    """The floor's one bay, marked. Plies as `S1_header_low=3`."""
    keys = {key.replace("_", ":", 1): count for key, count in plies.items()}
    (bay,) = assign_marks(plan, layout_floor(plan, STEEL, PRACTICE, keys), STEEL, PRACTICE)
    return bay


def rectangle(width: Any, depth: Any, **rest: Any) -> FloorPlan:
    return plan_of(rectangle_document(name="Test", width=width, depth=depth, **rest))


def document(outline: Sequence[Sequence[Any]], **rest: Any) -> FloorDocument:
    """Any outline in inches, joists along y at 16 in unless `bays` says more."""
    return read_document(
        {
            "format": "spanyard.floor",
            "version": 1,
            "name": "Test",
            "outline": [list(pair) for pair in outline],
            "bays": [{"direction": "y"}],
            "load_case": {"occupancy": "Rooms", "live_psf": 40, "layers": [{"name": "All", "psf": 10}]},
            **rest,
        }
    )


def joists(layout: BayLayout, *, line: int | None = None) -> list[Member]:
    return [m for m in layout.members if m.kind is MemberKind.JOIST and line in (None, m.line)]


def centres(members: Sequence[Member]) -> list[float]:
    """Centre lines in inches."""
    return [member.centre_16 / 16 for member in members]


def lengths(members: Sequence[Member]) -> list[float]:
    """Cut lengths in inches."""
    return [member.length_16 / 16 for member in members]
