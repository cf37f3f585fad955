"""What a driver's telephone keeps of his page, and what its script says."""

from __future__ import annotations

from typing import Any, Final

from django.templatetags.static import static
from django.utils.translation import gettext as _

from framing.common.company import company
from orders.driver_reads import state_words
from orders.phone_page import SHARED_FILES, files_digest, line_words

KEPT_FILES: Final = (
    *SHARED_FILES,
    "orders/css/driver.css",
    "framing/css/drawing.css",
    "orders/js/driver.js",
)
"""What the page needs without a line, beside itself."""


def yard_words() -> str:
    """Whom a driver calls."""
    return " ".join(filter(None, (_("the yard"), company().phone)))


def script_words() -> dict[str, str]:
    """What the page's script says."""
    return {
        **line_words(),
        "ended": _(
            "This link has run out. Call %(call)s for a new one; opened on this phone, it sends what waits here."
        )
        % {"call": yard_words()},
        "photos": _("%s photos"),
        "arrive": _("I am here"),
        "unload": _("All of it is unloaded"),
        **state_words(),
    }


def worker_facts(page: str) -> dict[str, Any]:
    """What the worker of a driver's page keeps."""
    return {"version": files_digest(KEPT_FILES), "page": page, "files": [static(name) for name in KEPT_FILES]}
