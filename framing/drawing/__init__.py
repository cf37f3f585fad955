"""Drawings: engine results to SVG text. Pure; millimetres on paper; no Django, no templates."""

from framing.drawing.beam_loads import significant
from framing.drawing.bundle import bundle_svg
from framing.drawing.compare_layer import MemberChanges, compare_svg
from framing.drawing.diagrams import Extreme, extremes, member_svg, place_words, reactions_of
from framing.drawing.places import PlaceMap, place_map
from framing.drawing.plan import paper_for, plan_svg
from framing.drawing.sheet import CAUTION, LARGE, MEDIUM, SMALL, Paper, SheetInfo, strip_size
from framing.drawing.sketch import sketch_svg
from framing.drawing.svg import svg_address
from framing.drawing.thumbnail import size_words, thumbnail_svg, thumbnail_words

__all__ = [
    "CAUTION",
    "LARGE",
    "MEDIUM",
    "SMALL",
    "Extreme",
    "MemberChanges",
    "Paper",
    "PlaceMap",
    "SheetInfo",
    "bundle_svg",
    "compare_svg",
    "extremes",
    "member_svg",
    "paper_for",
    "place_map",
    "place_words",
    "plan_svg",
    "reactions_of",
    "significant",
    "size_words",
    "sketch_svg",
    "strip_size",
    "svg_address",
    "thumbnail_svg",
    "thumbnail_words",
]
