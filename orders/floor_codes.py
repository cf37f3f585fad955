"""Reading the code of a tag or label as it was scanned or typed: bare, or as the address that its QR code holds."""

from __future__ import annotations

from typing import Final

from framing.common.errors import Refused
from orders.shop_models import CODE_LENGTH, CODE_SIGNS

_READ_AS: Final = str.maketrans({"O": "0", "I": "1", "L": "1", " ": "", "-": ""})
_SHOWN: Final = 40


def code_read(text: str) -> str:
    """The code in what was scanned or typed; signs that look alike are taken for those that codes have.

    Raises Refused at `code`, saying what to do instead.
    """
    last = text.strip().rstrip("/").rsplit("/", 1)[-1]
    code = last.upper().translate(_READ_AS)
    if not code:
        raise Refused("Scan a bundle's tag or a piece's label, or type the code on it.", field="code")
    if len(code) != CODE_LENGTH or not set(code) <= set(CODE_SIGNS):
        raise Refused(
            f"“{text.strip()[:_SHOWN]}” is not one of our codes: they have {CODE_LENGTH} letters and figures."
            " Scan the code on our own tag or label, or find the bundle in the list.",
            field="code",
        )
    return code
