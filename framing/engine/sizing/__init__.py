"""Sizing of members from tabulated properties; what it holds and what not yet is said in `checks`."""

from framing.engine.sizing.cases import check_members
from framing.engine.sizing.checks import check_profile
from framing.engine.sizing.select import choose_profile, options, plies_needed, span_warnings

__all__ = ["check_members", "check_profile", "choose_profile", "options", "plies_needed", "span_warnings"]
