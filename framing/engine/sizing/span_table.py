"""Span tables: the longest span of each profile at each spacing, for one load case (R15, R16, R18)."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from math import floor
from typing import Final

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.errors import OutsideSourceLimits
from framing.engine.practice import Practice
from framing.engine.sizing.span_limits import SPACINGS_IN, SpanCase, Spans, span_limits
from framing.engine.strength.profile import profile_strength
from framing.engine.units import SIXTEENTHS_PER_INCH, format_length, inches

__all__ = ["SPACINGS_IN", "SpanCase", "SpanCell", "SpanRow", "SpanTable", "Spans", "span_table", "table_csv"]

STIFFENED_FROM = 200.0  # h/t, AISI S100 B4.1
LONGEST_PIECE: Final = "longest piece"
GOVERNS: Final = (
    "local",
    "distortional",
    "lateral",
    "shear",
    "bending with shear",
    "live deflection",
    "total deflection",
    "1 kN",
    LONGEST_PIECE,
)
"""Words of `SpanCell.governs`, besides `outside ...` of a profile that the sources do not hold."""
COLUMNS: Final = (
    "profile",
    "yield_ksi",
    "spans",
    "method",
    "dead_psf",
    "live_psf",
    "partition_psf",
    "live_limit",
    "total_limit",
    "spacing_in",
    "span_in",
    "span",
    "governs",
    "warning",
)


@dataclass(frozen=True, slots=True)
class SpanCell:
    """One span in inches, rounded down to a whole one; 0 where there is none, and `governs` says why."""

    span_in: float
    governs: str
    warning: str = ""


@dataclass(frozen=True, slots=True)
class SpanRow:
    """One profile; cells in the order of the case's spacings."""

    profile: JoistProfile
    cells: tuple[SpanCell, ...]


@dataclass(frozen=True, slots=True)
class SpanTable:
    """A table and, in `notes`, what it takes for granted."""

    case: SpanCase
    rows: tuple[SpanRow, ...]
    notes: tuple[str, ...]


def span_table(profiles: Catalogue | Sequence[JoistProfile], case: SpanCase, practice: Practice) -> SpanTable:
    """Spans of all profiles in their order. The practice gives the longest piece, the sheathing's help against
    distortion and the share of a point load; method and limits are the case's."""
    found = profiles.profiles if isinstance(profiles, Catalogue) else tuple(profiles)
    rows = tuple(_row(profile, case, practice) for profile in found)
    return SpanTable(case, rows, _notes(case, practice))


def table_csv(table: SpanTable) -> str:
    """One line for each cell; a text that a spreadsheet would take for a formula gets an apostrophe before it."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in table.rows:
        for spacing_in, cell in zip(table.case.spacings_in, row.cells, strict=True):
            writer.writerow(map(_safe, _line(table.case, row.profile, spacing_in, cell)))
    return out.getvalue()


def _row(profile: JoistProfile, case: SpanCase, practice: Practice) -> SpanRow:
    try:
        strength = profile_strength(
            profile.shape,
            profile.steel,
            method=case.method,
            hole_depth_in=profile.hole_depth_in,
            hole_length_in=profile.hole_length_in,
            # At an inner support the compressed flange has no sheathing on it.
            sheathing_turn_kip=practice.sheathing_turn_kip if case.spans == "single" else 0.0,
        )
    except OutsideSourceLimits as outside:
        none = SpanCell(0.0, f"outside {outside.clause}", outside.message)
        return SpanRow(profile, (none,) * len(case.spacings_in))
    limits = span_limits((strength,), case, practice.point_load_share)
    at_spacing = [
        {name: float(spans[0, i]) for name, spans in limits.items()} for i in range(len(case.spacings_in))
    ]
    stiffened = strength.web_slenderness > STIFFENED_FROM
    return SpanRow(profile, tuple(_cell(found, profile, case, practice, stiffened) for found in at_spacing))


def _cell(
    found: dict[str, float], profile: JoistProfile, case: SpanCase, practice: Practice, stiffened: bool
) -> SpanCell:
    longest_in = inches(practice.longest_piece_16) / (1 if case.spans == "single" else 2)
    governs = min(found, key=lambda name: found[name])
    span_in = found[governs]
    if span_in > longest_in:
        governs, span_in = LONGEST_PIECE, longest_in
    warnings = []
    if span_in > practice.unusual_span_over_depth * profile.depth_in:
        warnings.append(f"over {practice.unusual_span_over_depth:g} times the depth: expect a lively floor")
    if stiffened:
        warnings.append(f"web over h/t {STIFFENED_FROM:g}: bearing stiffeners are a must")
    return SpanCell(float(floor(span_in)), governs, "; ".join(warnings))


def _notes(case: SpanCase, practice: Practice) -> tuple[str, ...]:
    help_words = (
        f"{practice.sheathing_turn_kip:g} kip-in per rad and in" if practice.sheathing_turn_kip else "none"
    )
    notes = [
        "Spans are rounded down to a whole inch and end at the longest piece.",
        f"Strength by AISI S100-16, {case.method}; loads uniform; the top flange held by the sheathing.",
        "All bearings are taken as stiffened: web crippling is not held here. No service holes.",
    ]
    if case.spans == "two":
        held = "is held against turning out" if case.braced_support else "is free up to the inflection"
        loaded = "both spans" if case.live_on_both else "one span"
        notes.append(
            f"Two equal spans in one piece: live deflection with {loaded} loaded, support with both; "
            f"the bottom flange at the inner support {held}, and no sheathing helps it against distortion."
        )
    else:
        notes.append(f"Help of the sheathing against distortional buckling: {help_words}.")
    return tuple(notes)


def _line(case: SpanCase, profile: JoistProfile, spacing_in: float, cell: SpanCell) -> tuple[str, ...]:
    return (
        profile.designator,
        f"{profile.yield_ksi:g}",
        case.spans,
        case.method.value,
        f"{case.dead_psf:g}",
        f"{case.live_psf:g}",
        f"{case.partition_psf:g}",
        f"L/{case.live_limit}" if case.live_limit else "off",
        f"L/{case.total_limit}" if case.total_limit else "off",
        f"{spacing_in:g}",
        f"{cell.span_in:g}",
        format_length(round(cell.span_in) * SIXTEENTHS_PER_INCH, "imperial"),
        cell.governs,
        cell.warning,
    )


def _safe(text: str) -> str:
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "\t", "\r")) else text
