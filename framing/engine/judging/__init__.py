"""The engine held against published tables: text of a table in, frozen comparison out."""

from framing.engine.judging.comparison import Column, Comparison, Difference, NotCompared
from framing.engine.judging.sections import judge_sections
from framing.engine.judging.spans import judge_spans
from framing.engine.judging.words import comparison_json, comparison_lines

__all__ = [
    "Column",
    "Comparison",
    "Difference",
    "NotCompared",
    "comparison_json",
    "comparison_lines",
    "judge_sections",
    "judge_spans",
]
