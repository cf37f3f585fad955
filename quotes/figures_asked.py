"""What an address asks of figures and pipeline, read the same way for pages, files and the API."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from quotes.figures_lists import Counted, counted_read
from quotes.figures_periods import Period, day_of, period_read
from quotes.figures_whose import Whose, whose_offered, whose_read
from quotes.pipeline_reads import PipelineFilter, pipeline_filter

FIGURES: Final = ("period", "first", "last", "who")
COUNTED: Final = ("what", "currency", "month", "reason")
PIPELINE: Final = ("who", "stage", "age", "low", "high")
_SIGNS_MOST: Final = 100


@dataclass(frozen=True, slots=True)
class Asked:
    """A period and whose quotes."""

    period: Period
    whose: Whose

    @property
    def query(self) -> dict[str, str]:
        """Both as parameters of an address."""
        return {**self.period.query, **({"who": self.whose.key} if self.whose.key else {})}


def words_of(query: Mapping[str, str], names: Sequence[str]) -> dict[str, str]:
    """The parameters of those names that say something."""
    found = {name: query.get(name, "").strip()[:_SIGNS_MOST] for name in names}
    return {name: value for name, value in found.items() if value}


def figures_asked(query: Mapping[str, str], offered: Sequence[Whose] | None, at: datetime) -> Asked:
    """Raises Refused at `period`, `first`, `last` or `who`. One query where `offered` is not at hand."""
    words = words_of(query, FIGURES)
    key, first, last = (words.get(name, "") for name in ("period", "first", "last"))
    period = period_read(key, first, last, day_of(at))
    return Asked(period, whose_read(words.get("who", ""), whose_offered() if offered is None else offered))


def counted_asked(query: Mapping[str, str]) -> Counted:
    """Raises Refused at `what`, `month` or `reason`."""
    words = words_of(query, COUNTED)
    what, currency, month, reason = (words.get(name, "") for name in COUNTED)
    return counted_read(what or "decided", currency, month, reason)


def pipeline_asked(query: Mapping[str, str], offered: Sequence[Whose] | None) -> PipelineFilter:
    """Raises Refused at `who`, `stage`, `age`, `low` or `high`."""
    words = words_of(query, PIPELINE)
    who, stage, age, low, high = (words.get(name, "") for name in PIPELINE)
    whose = whose_read(who, whose_offered() if offered is None else offered)
    return pipeline_filter(whose, stage, age, low, high)
