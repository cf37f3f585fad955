"""Codes on tags and labels: what a QR code holds, and its picture.

A small label holds the bare code: 12 signs make the smallest symbol, 21 modules wide, whose modules are a third to a
half wider than those of an address. Where an address has room for modules of a millimetre, which a telephone reads at
arm's length, the code holds the address of its door, so that any telephone finds the page by itself.
"""

from __future__ import annotations

import base64
import io
import re
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlsplit

import segno

QUIET: Final = 4
"""White modules that a reader wants around a symbol."""
ROOMY_MM: Final = 1.0
# One mask for all: trying eight takes most of the time of making a symbol, and readers take any.
_MASK: Final = 3
_SIGNS: Final = re.compile(r"[0-9A-Za-z]{12}")
_DOOR: Final = re.compile(r"/[tT]/([0-9A-Za-z]+)/?$")
_LEAST_MODULES: Final = 25  # an address is longer than what 21 modules hold


@dataclass(frozen=True, slots=True)
class Symbol:
    """A QR code: modules on a side, and a picture with one dot a module as a `data:` address."""

    text: str
    modules: int
    picture: str

    @property
    def whole(self) -> int:
        """Modules on a side with the white ones around."""
        return self.modules + 2 * QUIET


def door_of(public_url: str) -> str:
    """What stands before a code in its address, in capitals where only a host is named: QR codes pack them tighter."""
    base = public_url.rstrip("/")
    return f"{base}/t/" if urlsplit(base).path else f"{base}/t/".upper()


def symbol(text: str) -> Symbol:
    """The QR code of a text: 15 % of it may be lost, or more where its size gives that for nothing."""
    made = segno.make(text, error="m", micro=False, mask=_MASK)
    stream = io.BytesIO()
    made.save(stream, kind="png", scale=1, border=0)
    picture = base64.b64encode(stream.getvalue()).decode("ascii")
    return Symbol(text, len(made.matrix), f"data:image/png;base64,{picture}")


def symbol_for(code: str, door: str, side: float) -> Symbol:
    """The code's address where a square of `side` mm holds it in modules of a millimetre, else the bare code."""
    if door and side / (_LEAST_MODULES + 2 * QUIET) >= ROOMY_MM:
        address = symbol(f"{door}{code}/")
        if side / address.whole >= ROOMY_MM:
            return address
    return symbol(code)


def read_code(typed: str) -> str:
    """The code in what was scanned or typed: bare, in groups, or inside its address; "" where there is none."""
    text = typed.strip()
    found = _DOOR.search(text)
    bare = found.group(1) if found else re.sub(r"[\s-]", "", text)
    plain = bare.upper().translate(str.maketrans("OIL", "011"))
    return plain if _SIGNS.fullmatch(plain) else ""
