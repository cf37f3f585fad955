"""A comparison as lines for a terminal and as plain values for JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from framing.engine.judging.comparison import Column, Comparison, Difference

_DIGITS = 4
_WIDTH = 18


def comparison_lines(comparison: Comparison) -> Iterator[str]:
    """Heading, one line a column, then what is outside and what was left out, each with its reason."""
    yield f"{comparison.file}: {comparison.rows} rows"
    yield f"  {'column':{_WIDTH}} rows  median   worst  allowed  outside  worst row"
    for column in comparison.columns:
        yield _column_line(column)
    for column in comparison.columns:
        if column.note:
            yield f"  {column.name}: {column.note}"
    for column in comparison.columns:
        for difference in column.outside:
            yield f"  outside: {column.name}, line {difference.line}, {_outside(difference)}"
    for left in comparison.not_compared:
        yield f"  not compared: line {left.line}, {left.row}: {left.reason}"
    yield "  A difference within half a unit of the last printed digit counts as agreeing."
    yield f"  {'agrees' if comparison.agrees else 'DOES NOT AGREE'}"


def comparison_json(comparison: Comparison) -> dict[str, Any]:
    """The same as dictionaries, lists, texts and numbers; percent without rounding to pass."""
    return {
        "file": comparison.file,
        "agrees": comparison.agrees,
        "rows": comparison.rows,
        "columns": {column.name: _column_json(column) for column in comparison.columns},
        "not_compared": [
            {"row": left.row, "line": left.line, "reason": left.reason} for left in comparison.not_compared
        ],
    }


def _column_line(column: Column) -> str:
    unit = "%" if column.unit == "percent" else '"'
    numbers = f"{column.median:7.2f}{unit} {column.worst.size:+6.2f}{unit} {column.tolerance:7.1f}{unit}"
    return (
        f"  {column.name:{_WIDTH}} {len(column.differences):4d} {numbers} {len(column.outside):7d}  "
        f"{column.worst.row}"
    )


def _outside(difference: Difference) -> str:
    return (
        f"{difference.row}: printed {difference.printed:g}, ours {difference.ours:.6g}, "
        f"{difference.percent:+.2f} %: {difference.reason or 'NOT EXPLAINED'}"
    )


def _column_json(column: Column) -> dict[str, Any]:
    found = {
        "rows": len(column.differences),
        "worst_percent": round(column.worst.percent, _DIGITS),
        "worst_row": column.worst.row,
        "median_percent": round(column.median_percent, _DIGITS),
        "tolerance_percent": column.tolerance if column.unit == "percent" else None,
        "note": column.note,
        "outside": [_difference_json(difference) for difference in column.outside],
    }
    if column.unit == "in":
        found |= {
            "worst_in": round(column.worst.size, _DIGITS),
            "median_in": round(column.median, _DIGITS),
            "tolerance_in": column.tolerance,
        }
    return found


def _difference_json(difference: Difference) -> dict[str, Any]:
    return {
        "row": difference.row,
        "line": difference.line,
        "printed": difference.printed,
        "ours": round(difference.ours, _DIGITS + 2),
        "percent": round(difference.percent, _DIGITS),
        "reason": difference.reason,
    }
