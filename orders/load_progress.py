"""How far the worker is with a truck plan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Final

from framing.engine.trucks.facts import Advance, Stage
from orders.line_progress import Progress

_STAGES: Final[Mapping[Stage, tuple[int, int]]] = {"orders": (0, 10), "tries": (10, 40), "exact": (40, 99)}
"""What each stage of the search takes of the bar, in hundredths."""


class LoadProgress(Progress):
    """Writes a truck plan's share; the search has three stages."""

    tell: ClassVar[str] = (
        "UPDATE orders_loadplan SET state = 'making', done_share = %s"
        " WHERE id = %s AND state IN ('asked', 'making') RETURNING stop_asked"
    )

    def share(self, advance: Advance) -> int:
        first, last = _STAGES[advance.stage]
        return int(first + (last - first) * min(advance.done, advance.of) // max(1, advance.of))
