"""The pages beside the list of deliveries, as tabs."""

from __future__ import annotations

from django.urls import reverse

from framing.common.access import may

TABS = (
    ("List", "orders:delivery_list", "delivery"),
    ("By day and truck", "orders:delivery_board", "delivery"),
    ("Our trucks", "orders:truck_list", "truck"),
    ("Notices", "orders:notice_page", "notice"),
)


def tabs_of(role: str, here: str) -> list[tuple[str, str, bool]]:
    """Pages that a role may read, with label, address and whether it is this one."""
    return [
        (label, reverse(route), route == here) for label, route, thing in TABS if may(role, thing, "read")
    ]
