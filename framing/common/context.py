"""What every page's template gets: the menu of the reader's role."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from framing.common.access import may


@dataclass(frozen=True, slots=True)
class MenuEntry:
    label: str
    url: str
    current: bool


# label, route, act of the table that the reader needs; of two with one label the first that he may open
MENU = (
    ("Today", "today", None),
    ("Builders", "projects:builder_list", ("project", "read")),
    ("Projects", "projects:project_list", ("project", "read")),
    ("Quotes", "quotes:quote_list", ("quote", "read")),
    ("Orders", "orders:order_list", ("order", "read")),
    ("Bundles", "orders:bundle_list", ("bundle", "read")),
    ("Shop floor", "orders:floor", ("bundle", "finish")),
    ("Line plan", "orders:line_board", ("line_plan", "read")),
    ("Deliveries", "orders:delivery_list", ("delivery", "read")),
    ("Trucks", "orders:trucks", ("trip", "read")),
    ("Trucks", "orders:loading", ("trip", "tick")),  # to load, for who sees no plans
    ("Claims", "orders:claim_list", ("claim", "read")),
    ("To invoice", "orders:invoice_list", ("invoice", "read")),
    ("Profiles", "projects:profile_list", ("catalogue", "read")),
    ("Price book", "quotes:price_book", ("price_book", "read")),
    ("Figures", "quotes:figures", ("quote", "read")),
    ("Figures", "orders:shop_figures", ("shop_figures", "read")),  # of the shop, for who sees no quotes
)

# Pages that stand beside a menu entry's own as tabs, elsewhere among the addresses: route -> the entry's route
BESIDE = {
    "orders:shop_figures": "quotes:figures",
    "projects:practice_page": "projects:profile_list",
}


def _under(home: str, path: str) -> bool:
    return (
        path.startswith(home) if home != "/" else path == home
    )  # every address begins with the first page's


def menu(request: HttpRequest) -> dict[str, object]:
    """Menu entries that the reader's role may open; the current one by the longest address that fits."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"nav": (), "single_keys_off": False}
    entries: dict[str, str] = {}
    for label, route, act in MENU:
        if label not in entries and (act is None or may(user.role, *act)):
            try:
                entries[label] = reverse(route)
            except NoReverseMatch:
                continue
    homes = {reverse(tab): reverse(home) for tab, home in BESIDE.items()}
    homes |= {url: url for url in entries.values()}
    here = homes.get(max((url for url in homes if _under(url, request.path)), key=len, default=""), "")
    return {
        "nav": tuple(MenuEntry(label, url, url == here) for label, url in entries.items()),
        "single_keys_off": request.session.get("single_keys_off", False),
    }
