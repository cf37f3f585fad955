"""Which floor a carton is packed for, told by its title, as its packs are named after their floor (R36)."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from typing import Final

from orders.models import Carton

FLOOR_MOST: Final = 80
_COPY: Final = re.compile(r"( \(\d+ of \d+\))?: ")
"""What stands between a floor's name and what is in the carton: which copy, where there are several."""


def floor_of(carton: Carton, floors: Iterable[str]) -> str | None:
    """The floor of an order's `floors` that a carton is for; None for one that belongs to no floor.

    A name that begins like another's is told from it. Names are cut to FLOOR_MOST signs where they are kept with
    pieces, so that a name of that length may go on in the title.
    """
    for name in sorted(floors, key=len, reverse=True):
        if carton.title.startswith(name) and (
            len(name) == FLOOR_MOST or _COPY.match(carton.title, len(name)) is not None
        ):
            return name
    return None


def of_floors(cartons: Iterable[Carton], chosen: Collection[str], floors: Collection[str]) -> list[Carton]:
    """Cartons that go with some of an order's floors: their own, and those that belong to no floor."""
    return [row for row in cartons if (floor := floor_of(row, floors)) is None or floor in chosen]
