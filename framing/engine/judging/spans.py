"""Joist span tables against the engine's spans (R15, R16), each row by the rule that its table allows."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import floor
from typing import Final

from framing.engine.errors import OutsideSourceLimits, SectionImpossible
from framing.engine.judging.comparison import Column, Comparison, Difference, NotCompared, columns_of
from framing.engine.judging.reading import (
    Printed,
    check_section_columns,
    column_named,
    printed,
    read_rows,
    row_name,
    shape_and_steel,
)
from framing.engine.method import Method
from framing.engine.sizing.span_limits import LIMIT_LEAST, LIMIT_MOST, SpanCase, Spans, span_limits
from framing.engine.strength.profile import ProfileStrength, profile_strength
from framing.engine.strength.trade_table import STANDARD_HOLE
from framing.engine.tables import TableRow

_ALIASES: Final[Mapping[str, tuple[str, ...]]] = {
    "span": ("clear_span_in", "span_in"),
    "dead": ("dead_load_psf", "dead_psf"),
    "live": ("live_load_psf", "live_psf"),
    "spacing": ("spacing_in",),
    "live limit": ("LL_deflection", "LL_limit"),
    "total limit": ("TL_deflection", "TL_limit"),
    "spans": ("span_type",),
}
_SPANS: Final[Mapping[str, Spans]] = {"single": "single", "two equal": "two", "two equal spans": "two"}
_LIMIT = re.compile(r"L/(\d{1,4})", re.ASCII)
FLAG, DOCUMENT = "flag", "document"
NOT_TO_USE = "do not use"
BOTH_SPANS_LOADED = "HUD"
TOLERANCE_IN: Final = 1.0
OLD_WEB_RULE_MOST_IN: Final = 3.0
FULL_INERTIA_SHARE: Final = 0.99
OLD_WEB_RULE = (
    "up to 3 in short: effective inertia under gross by the rule for webs deeper than 4 flanges, which the table "
    "does not know yet"
)

DEFLECTION, STRENGTH, TWO, EXACT = "single_deflection", "single_strength", "two_equal_spans", "to_hundredths"
NOTES: Final[Mapping[str, str]] = {
    DEFLECTION: "one span, whole inches, live deflection rules: both ways",
    STRENGTH: "one span, whole inches, strength rules: never longer than printed (tables older than today's "
    "rules for distortional buckling and deep webs are longer)",
    TWO: "two equal spans, whole inches: never longer than printed; HUD rows with live load on both spans, as "
    "their deflection rows show (the engine's own rule is one)",
    EXACT: "printed to 1/100 in: both ways",
}
"""By group: the rule of comparison. Whole inches are compared with our span rounded down, as it is printed."""


@dataclass(slots=True)
class _Found:
    differences: dict[str, list[Difference]] = field(default_factory=lambda: {name: [] for name in NOTES})
    left: list[NotCompared] = field(default_factory=list)


def judge_spans(file: str, text: str) -> Comparison:
    """Compare a joist span table, given as CSV text: `section` (or dimensions), `Fy_ksi`, `span_type`, dead and live
    load, `spacing_in`, limits as `L/480`, and the span in inches.

    A row whose `flag` says not to use it is left out; another flag is the reason of a row outside.
    Raises CatalogueRefused for a file that cannot be read, by name, row and column.
    """
    rows = read_rows(file, text)
    check_section_columns(file, rows[0])
    names = {key: column_named(file, rows[0], aliases) for key, aliases in _ALIASES.items()}
    found = _Found()
    for row in rows:
        _judge_row(row, names, found)
    columns = [
        Column(group, TOLERANCE_IN, "in", note, tuple(found.differences[group]))
        for group, note in NOTES.items()
    ]
    return Comparison(file, len(rows), columns_of(columns), tuple(found.left))


def _judge_row(row: TableRow, names: Mapping[str, str], found: _Found) -> None:
    case, span = _case(row, names), printed(row, names["span"])
    flag = row.cells.get(FLAG, "").strip()
    name = f"{row_name(row)}, {case.spans}, {case.live_psf:g} psf, {case.spacings_in[0]:g} in"
    if NOT_TO_USE in flag:
        found.left.append(NotCompared(name, row.number, f"flagged in the file: {flag}"))
        return
    try:
        strength = _strength(row)
    except (OutsideSourceLimits, SectionImpossible) as refused:
        found.left.append(NotCompared(name, row.number, refused.message))
        return
    limits = {rule: float(spans[0, 0]) for rule, spans in span_limits((strength,), case).items()}
    governs = min(limits, key=lambda rule: limits[rule])
    group = _group(case.spans, governs, span)
    found.differences[group].append(_difference(name, span, limits[governs], group, strength, flag))


def _group(spans: Spans, governs: str, span: Printed) -> str:
    if not span.is_whole:
        return EXACT
    if spans == "two":
        return TWO
    return DEFLECTION if governs == "live deflection" else STRENGTH


def _difference(
    name: str, span: Printed, exact_in: float, group: str, strength: ProfileStrength, flag: str
) -> Difference:
    ours = float(floor(exact_in)) if span.is_whole else exact_in
    size = ours - span.value
    both_ways = group in (DEFLECTION, EXACT)
    within = size <= TOLERANCE_IN and (size >= -TOLERANCE_IN or not both_ways)
    reason = ""
    if not within and flag:
        reason = f"flagged in the file: {flag}"
    elif not within and group == DEFLECTION and -OLD_WEB_RULE_MOST_IN <= size < 0 and _reduced(strength):
        reason = OLD_WEB_RULE
    return Difference(name, span.line, span.value, ours, size, 100 * size / span.value, within, reason)


def _reduced(strength: ProfileStrength) -> bool:
    return strength.effective_inertia_in4 < FULL_INERTIA_SHARE * strength.gross.ix_in4


def _strength(row: TableRow) -> ProfileStrength:
    shape, steel = shape_and_steel(row)
    hole = STANDARD_HOLE
    return profile_strength(
        shape, steel, method=Method.ASD, hole_depth_in=hole.depth_in, hole_length_in=hole.length_in
    )


def _case(row: TableRow, names: Mapping[str, str]) -> SpanCase:
    spans = _SPANS[row.one_of(names["spans"], tuple(_SPANS))]
    return SpanCase(
        dead_psf=row.number_over_zero(names["dead"]),
        live_psf=row.number_over_zero(names["live"]),
        live_limit=_limit(row, names["live limit"]),
        total_limit=_limit(row, names["total limit"]),
        spans=spans,
        spacings_in=(row.number_over_zero(names["spacing"]),),
        live_on_both=spans == "two" and row.cells.get(DOCUMENT, "").startswith(BOTH_SPANS_LOADED),
    )


def _limit(row: TableRow, column: str) -> int:
    read = _LIMIT.fullmatch(row.text(column))
    if read is None or not LIMIT_LEAST <= int(read[1]) <= LIMIT_MOST:
        raise row.refuse(column, f"{row.text(column)} is not like L/480, L/{LIMIT_LEAST} to L/{LIMIT_MOST}.")
    return int(read[1])
