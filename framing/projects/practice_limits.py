"""A practice set's values against the table of `practice_fields`: what is no default, what is outside its limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from math import isfinite
from typing import Any

from framing.engine.method import Method
from framing.engine.practice import Practice
from framing.engine.units import SIXTEENTHS_PER_FOOT, format_length
from framing.projects.practice_fields import (
    CAPS_MOST,
    DEPTH_LEAST,
    DEPTH_MOST,
    FIELDS,
    STICKS_MOST,
    Kind,
    PracticeField,
    show,
)


def stored(value: Any) -> Any:
    """A value of `Practice` as JSON holds it."""
    if isinstance(value, Method):
        return value.value
    return [stored(item) for item in value] if isinstance(value, (list, tuple)) else value


def own_values(practice: Practice) -> dict[str, Any]:
    """What a practice set says beside the rules' defaults, as it is stored."""
    values = asdict(practice)
    return {name: stored(values[name]) for name, field in FIELDS.items() if values[name] != field.default}


def limit_problems(practice: Practice) -> dict[str, str]:
    """Values outside their limits and values that contradict one another, by name, each with its sentence."""
    found = {
        name: words
        for name, field in FIELDS.items()
        if (words := value_problem(field, getattr(practice, name))) is not None
    }
    for name, words in _contradictions(practice):
        found.setdefault(name, words)
    return found


def value_problem(field: PracticeField, value: Any) -> str | None:
    """What is wrong with one value by its limits, None where nothing is."""
    if field.kind in (Kind.SWITCH, Kind.METHOD) or (field.kind is Kind.LIMIT and value == 0):
        return None
    if field.kind is Kind.STICKS:
        return _sticks_problem(field, value)
    if field.kind is Kind.CAPS:
        return _caps_problem(field, value)
    if not isfinite(value) or not field.least <= value <= field.most:
        return f"{show(field, value)} is outside {field.limits}."
    return None


def _sticks_problem(field: PracticeField, sticks: tuple[int, ...]) -> str | None:
    if not 1 <= len(sticks) <= STICKS_MOST or any(not field.least <= stick <= field.most for stick in sticks):
        return f"Give {field.limits}."
    return "A length stands there twice." if len(set(sticks)) < len(sticks) else None


def _caps_problem(field: PracticeField, caps: tuple[tuple[int, int], ...]) -> str | None:
    if not 1 <= len(caps) <= CAPS_MOST:
        return f"Give 1 to {CAPS_MOST} depths."
    for depth, most in caps:
        if not DEPTH_LEAST <= depth <= DEPTH_MOST:
            return (
                f"{depth / 100:g} in is outside depths of {DEPTH_LEAST / 100:g} to {DEPTH_MOST / 100:g} in."
            )
        if not field.least <= most <= field.most:
            return f"{most} pieces is outside {field.limits}."
    return "A depth stands there twice." if len({depth for depth, _ in caps}) < len(caps) else None


def _contradictions(practice: Practice) -> Iterator[tuple[str, str]]:
    if practice.plies_default > practice.plies_most:
        yield "plies_default", f"{practice.plies_default} is over the most, {practice.plies_most}."
    joist_end_16 = practice.rim_thickness_16 + practice.end_clearance_16
    if practice.outside_bearing_16 <= joist_end_16:
        end = format_length(joist_end_16, "imperial")
        yield "outside_bearing_16", f"A joist ends {end} from its outside face; it must be wider."
    if practice.panel_short_16 > practice.panel_long_16:
        yield "panel_short_16", "The short side is longer than the long one."
    if 2 * practice.ply_clip_end_16 >= practice.ply_clip_most_16:
        yield "ply_clip_end_16", "It must be under half of what ply clips are apart at most."
    caps = [most for _, most in practice.bundle_most_by_depth]
    if caps and practice.bundle_least > min(caps):
        yield "bundle_least", f"{practice.bundle_least} is over the most of a depth, {min(caps)}."
    shortest = min(practice.rim_sticks_ft, default=0) * SIXTEENTHS_PER_FOOT
    if shortest and practice.rim_rest_least_16 > shortest:
        yield "rim_rest_least_16", "It is longer than the shortest board that is bought."
