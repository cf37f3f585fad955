"""What every page's template gets: the menu of the reader's role."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from framing.common.access import may
from framing.common.models import Role


@dataclass(frozen=True, slots=True)
class MenuEntry:
    """A page in the menu. `place` is the heading it stands under; with `more` it is no part of the line."""

    label: str
    url: str
    current: bool
    place: str
    more: bool


SALES, SHOP, OUT, DATA = "Sales", "Shop", "Out", "Data and figures"

# label, route, act of the table that the reader needs, place; of two with one label the first that he may open
MENU = (
    ("Today", "today", None, ""),
    ("Builders", "projects:builder_list", ("project", "read"), SALES),
    ("Projects", "projects:project_list", ("project", "read"), SALES),
    ("Quotes", "quotes:quote_list", ("quote", "read"), SALES),
    ("Orders", "orders:order_list", ("order", "read"), SALES),
    ("Bundles", "orders:bundle_list", ("bundle", "read"), SHOP),
    ("Shop floor", "orders:floor", ("bundle", "finish"), SHOP),
    ("Line plan", "orders:line_board", ("line_plan", "read"), SHOP),
    ("Deliveries", "orders:delivery_list", ("delivery", "read"), OUT),
    ("Trucks", "orders:trucks", ("trip", "read"), OUT),
    ("Trucks", "orders:loading", ("trip", "tick"), OUT),  # to load, for who sees no plans
    ("Claims", "orders:claim_list", ("claim", "read"), OUT),
    ("To invoice", "orders:invoice_list", ("invoice", "read"), OUT),
    ("Profiles", "projects:profile_list", ("catalogue", "read"), DATA),
    ("Price book", "quotes:price_book", ("price_book", "read"), DATA),
    ("Figures", "quotes:figures", ("quote", "read"), DATA),
    ("Figures", "orders:shop_figures", ("shop_figures", "read"), DATA),  # of the shop, for who sees no quotes
)

# What stands in the line of a wide window, for roles that may open more than fits in it; the rest is under “More”
_LOOKS_AT_ALL = frozenset(
    ("Today", "Builders", "Projects", "Quotes", "Orders", "Deliveries", "Claims", "Figures")
)
IN_LINE: Mapping[str, frozenset[str]] = {
    Role.SELLER: frozenset(("Today", "Builders", "Projects", "Quotes", "Orders", "Deliveries", "Price book")),
    Role.MANAGER: _LOOKS_AT_ALL,
    Role.ADMINISTRATOR: _LOOKS_AT_ALL,
    Role.PLANNER: frozenset(
        ("Today", "Projects", "Orders", "Bundles", "Shop floor", "Line plan", "Deliveries", "Figures")
    ),
}

# Pages that stand beside a menu entry's own as tabs, elsewhere among the addresses: route -> the entry's route
BESIDE = {
    "orders:shop_figures": "quotes:figures",
    "projects:practice_page": "projects:profile_list",
}

# Pages of one thing whose address begins otherwise than their entry's -> the entry's route
OF_ONE = {"orders:trip_driver": "orders:trucks"}


def _under(home: str, path: str) -> bool:
    return (
        path.startswith(home) if home != "/" else path == home
    )  # every address begins with the first page's


def menu(request: HttpRequest) -> dict[str, object]:
    """Menu entries that the reader's role may open; the current one by the longest address that fits."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"nav": (), "nav_more": (), "single_keys_off": False}
    entries: dict[str, tuple[str, str]] = {}
    for label, route, act, place in MENU:
        if label not in entries and (act is None or may(user.role, *act)):
            try:
                entries[label] = reverse(route), place
            except NoReverseMatch:
                continue
    homes = {reverse(tab): reverse(home) for tab, home in BESIDE.items()}
    homes |= {reverse(one, args=["-"]).partition("-")[0]: reverse(home) for one, home in OF_ONE.items()}
    homes |= {url: url for url, _ in entries.values()}
    here = homes.get(max((url for url in homes if _under(url, request.path)), key=len, default=""), "")
    line = IN_LINE.get(user.role, frozenset(entries))
    nav = tuple(
        MenuEntry(label, url, url == here, place, label not in line)
        for label, (url, place) in entries.items()
    )
    return {
        "nav": nav,
        "nav_more": tuple(entry for entry in nav if entry.more),
        "single_keys_off": request.session.get("single_keys_off", False),
    }
