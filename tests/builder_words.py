"""The sentences that a builder may read: of his templates, of the services that refuse him, of cautions."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from django.utils.translation.template import templatize

from framing.common.cautions import SITE_CAUTIONS
from framing.common.errors import TooBig, TooMany
from framing.drawing.load_words import ENGLISH, SENTENCES
from orders.delivery_gear import REACH_WORDS
from orders.manifest_words import CARTONS
from orders.site_picture import DAMAGED, STRANGE
from orders.states import STAGE_LINE, Gear

CHECKOUT = Path(__file__).resolve().parents[1]
TEMPLATES = CHECKOUT / "templates"
FIRST = (
    "orders/your_*.html", "orders/site/[!r]*.html", "orders/driver/*.html", "quotes/your_*.html", "404.html",
    "403.html", "refused.html",
)  # fmt: skip
SOURCES = (
    "orders/site_*.py", "orders/photo_store.py", "orders/services/receipts.py", "orders/services/photos.py",
    "orders/views/yours.py", "orders/claim_words.py", "orders/services/claims.py",
    "orders/driver_*.py", "orders/phone_page.py", "orders/services/handovers.py", "orders/manifest_words.py",
    "framing/common/intake.py", "framing/common/limits.py", "quotes/page_parts.py", "quotes/documents/floors.py",
)  # fmt: skip
_PARTS = re.compile(r"""{% (?:include|extends) ["']([^"']+)["']""")
_STRING = r"""u?((?:'(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*"))"""
_ONE = re.compile(rf"\bgettext\(\s*{_STRING}\s*\)")
_MANY = re.compile(rf"\bngettext\(\s*{_STRING}\s*,\s*{_STRING}\s*,")

Word = tuple[str, str]
"""A sentence, and its plural; "" where it has none."""


def builder_templates() -> list[Path]:
    """Templates that a link's pages are made of, with what they include."""
    found: list[Path] = []
    waiting = [path for pattern in FIRST for path in sorted(TEMPLATES.glob(pattern))]
    while waiting:
        path = waiting.pop(0)
        if path not in found:
            found.append(path)
            waiting += [TEMPLATES / name for name in _PARTS.findall(path.read_text())]
    return found


def words_of_template(path: Path) -> Iterator[Word]:
    text = templatize(path.read_text(), origin=str(path))
    for found in _MANY.finditer(text):
        yield ast.literal_eval(found.group(1)), ast.literal_eval(found.group(2))
    for found in _ONE.finditer(text):
        yield ast.literal_eval(found.group(1)), ""


def words_of_source(path: Path) -> Iterator[Word]:
    """What a module gives to gettext as a plain string."""
    for node in ast.walk(ast.parse(path.read_text())):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id in ("_", "gettext")
        ):
            argument = node.args[0]
            if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
                yield argument.value, ""


def builder_words() -> set[Word]:
    words = {word for path in builder_templates() for word in words_of_template(path)}
    for pattern in SOURCES:
        for path in CHECKOUT.glob(pattern):
            words |= set(words_of_source(path))
    stages = (stage.title() for stage in STAGE_LINE)
    sketch = (getattr(ENGLISH, name) for name in SENTENCES)
    plain = (
        *SITE_CAUTIONS,
        DAMAGED,
        STRANGE,
        *stages,
        *Gear.labels,
        *CARTONS,
        *sketch,
        REACH_WORDS,
        TooBig.title,
        TooMany.title,
    )
    return words | {(one, "") for one in plain}
