"""What a driver's telephone keeps of his page, and what its script says."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path
from typing import Any, Final

from django.contrib.staticfiles import finders
from django.templatetags.static import static

KEPT_FILES: Final = (
    "framing/css/app.css",
    "orders/css/site.css",
    "orders/css/driver.css",
    "framing/css/drawing.css",
    "orders/js/driver.js",
    "orders/js/photo_shrink.js",
    "orders/js/site_queue.js",
    "orders/site-icon.svg",
    "framing/fonts/atkinson-hyperlegible-next-latin-400-normal.woff2",
    "framing/fonts/atkinson-hyperlegible-next-latin-600-normal.woff2",
    "framing/fonts/atkinson-hyperlegible-mono-latin-400-normal.woff2",
)
"""What the page needs without a line, beside itself."""

WORDS: Final = {
    "all": "Everything is sent.",
    "one": "1 not sent yet",
    "many": "%s not sent yet",
    "waits": "It is kept on this phone and goes out as soon as there is a line.",
    "memory": "This browser keeps nothing. Leave this page open until everything is sent.",
    "ended": "This link has run out, so nothing more can be sent. Call the yard.",
    "refused": "Not taken",
    "again": "Send again",
    "drop": "Leave it out",
    "unsent": "not sent yet",
    "photo": "Photo",
    "planned": "Not loaded yet",
    "loaded": "On the truck",
    "arrived": "Arrived",
    "unloaded": "Unloaded",
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
