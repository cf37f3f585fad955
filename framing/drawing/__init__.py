"""Drawings: engine results to SVG text. Pure; millimetres on paper; no Django, no templates."""

from framing.drawing.bundle import bundle_svg
from framing.drawing.plan import paper_for, plan_svg
from framing.drawing.sheet import CAUTION, LARGE, MEDIUM, SMALL, Paper, SheetInfo
from framing.drawing.sketch import sketch_svg

__all__ = [
    "CAUTION",
    "LARGE",
    "MEDIUM",
    "SMALL",
    "Paper",
    "SheetInfo",
    "bundle_svg",
    "paper_for",
    "plan_svg",
    "sketch_svg",
]
