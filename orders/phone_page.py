"""What the pages that work without a line share, the builder's and the driver's: files they keep, words of the line."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path
from typing import Final

from django.contrib.staticfiles import finders
from django.utils.translation import gettext as _

SHARED_FILES: Final = (
    "framing/css/app.css",
    "orders/css/site.css",
    "orders/js/photo_shrink.js",
    "orders/js/site_line.js",
    "orders/js/site_queue.js",
    "orders/site-icon.svg",
    "framing/fonts/atkinson-hyperlegible-next-latin-400-normal.woff2",
    "framing/fonts/atkinson-hyperlegible-next-latin-600-normal.woff2",
    "framing/fonts/atkinson-hyperlegible-mono-latin-400-normal.woff2",
)
"""What each of them needs without a line, beside itself and files of its own."""


@cache
def files_digest(names: tuple[str, ...]) -> str:
    """Changes with what these files hold; telephones then keep them anew."""
    digest = hashlib.sha256()
    for name in names:
        found = finders.find(name)
        if isinstance(found, str):
            digest.update(Path(found).read_bytes())
    return digest.hexdigest()[:12]


def line_words() -> dict[str, str]:
    """What `site_line.js` says of what waits in the phone; `ended` is for each page to say."""
    return {
        "all": _("Everything is sent."),
        "rest": _("All else is sent."),
        "one": _("1 not sent yet"),
        "many": _("%s not sent yet"),
        "waits": _("It is kept on this phone and goes out as soon as there is a line."),
        "memory": _("This browser keeps nothing. Leave this page open until everything is sent."),
        "refused": _("Not taken"),
        "typed": _("You wrote:"),
        "again": _("Send again"),
        "drop": _("Leave it out"),
        "unsent": _("not sent yet"),
        "photo": _("Photo"),
    }
