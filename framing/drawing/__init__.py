"""Drawings: engine results to SVG text. Pure; millimetres on paper; no Django, no templates."""

from framing.drawing.bundle import bundle_svg
from framing.drawing.plan import plan_svg
from framing.drawing.sheet import CAUTION, LARGE, SMALL, Paper, SheetInfo
from framing.drawing.sketch import sketch_svg

__all__ = ["CAUTION", "LARGE", "SMALL", "Paper", "SheetInfo", "bundle_svg", "plan_svg", "sketch_svg"]
