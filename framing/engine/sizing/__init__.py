"""Sizing of members by AISI S100; what is held and what is not is said in `checks`."""

from framing.engine.sizing.answers import case_warnings, check_members, holes_left_out, holes_matter
from framing.engine.sizing.cases import same_loads
from framing.engine.sizing.checks import check_profile
from framing.engine.sizing.needs import choose_profiles, depth_warnings, plies_needed, span_warnings
from framing.engine.sizing.select import choose_profile, options
from framing.engine.sizing.sheet import member_sheets

__all__ = [
    "case_warnings",
    "check_members",
    "check_profile",
    "choose_profile",
    "choose_profiles",
    "depth_warnings",
    "holes_left_out",
    "holes_matter",
    "member_sheets",
    "options",
    "plies_needed",
    "same_loads",
    "span_warnings",
]
