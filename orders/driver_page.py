"""What a driver's telephone keeps of his page, and what its script says."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path
from typing import Any, Final

from django.contrib.staticfiles import finders
from django.templatetags.static import static
from django.utils.translation import gettext as _

from orders.driver_reads import state_words

KEPT_FILES: Final = (
    "framing/css/app.css",
    "orders/css/site.css",
    "orders/css/driver.css",
    "framing/css/drawing.css",
    "orders/js/driver.js",
    "orders/js/photo_shrink.js",
    "orders/js/site_line.js",
    "orders/js/site_queue.js",
    "orders/site-icon.svg",
    "framing/fonts/atkinson-hyperlegible-next-latin-400-normal.woff2",
    "framing/fonts/atkinson-hyperlegible-next-latin-600-normal.woff2",
    "framing/fonts/atkinson-hyperlegible-mono-latin-400-normal.woff2",
)
"""What the page needs without a line, beside itself."""


def script_words() -> dict[str, str]:
    """What the page's script says."""
    return {
        "all": _("Everything is sent."),
        "rest": _("All else is sent."),
        "one": _("1 not sent yet"),
        "many": _("%s not sent yet"),
        "waits": _("It is kept on this phone and goes out as soon as there is a line."),
        "memory": _("This browser keeps nothing. Leave this page open until everything is sent."),
        "ended": _("This link has run out, so nothing more can be sent. Call the yard."),
        "refused": _("Not taken"),
        "typed": _("You wrote:"),
        "again": _("Send again"),
        "drop": _("Leave it out"),
        "unsent": _("not sent yet"),
        "photo": _("Photo"),
        "photos": _("%s photos"),
        "arrive": _("I am here"),
        "unload": _("All of it is unloaded"),
        **state_words(),
    }


def worker_facts(page: str) -> dict[str, Any]:
    """What the worker of a driver's page keeps."""
    return {"version": files_digest(), "page": page, "files": [static(name) for name in KEPT_FILES]}


@cache
def files_digest() -> str:
    """Changes with what these files hold; telephones then keep them anew."""
    digest = hashlib.sha256()
    for name in KEPT_FILES:
        found = finders.find(name)
        if isinstance(found, str):
            digest.update(Path(found).read_bytes())
    return digest.hexdigest()[:12]
