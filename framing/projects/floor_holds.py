"""What keeps a floor on its project: an app that stands above this one knows and says so.

Until it has, nothing does.
"""

from __future__ import annotations

from collections.abc import Callable

from framing.projects.models import Floor

Holder = Callable[[Floor], str]
_told: list[Holder] = []


def tell_holder(holder: Holder) -> None:
    """Name what finds the number of the order that holds a floor, "" where none does; the last one told counts."""
    _told[:] = [holder]


def order_holding(floor: Floor) -> str:
    """The number of an order in work that was booked with this floor; "" where there is none.

    A quote keeps its own copy of a floor and says where the project's has changed; what the shop makes is not to
    vanish from the project meanwhile.
    """
    return _told[0](floor) if _told else ""
