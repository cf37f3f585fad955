"""Which kind of plan file some bytes are, by what they hold and never by their name; and a name made harmless."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from framing.common.bounded import JobRefused

NAME_MOST: Final = 120
LOOKED_AT: Final = 65536
PDF_WITHIN: Final = 1024
"""A PDF may begin with other bytes; its sign must stand within so many."""

_PICTURES: Final = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff")
_BINARY_DXF: Final = re.compile(rb".{0,20}Binary DXF\r\n\x1a\x00", re.DOTALL)
_TEXT_DXF: Final = re.compile(r"\s*(999\s*\n[^\n]*\n\s*)*0\s*\n\s*SECTION\b")
_MARKS: Final = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_OTHERS: Final = (
    (b"II*\x00", "a TIFF picture", "Save it as PNG, JPEG or PDF"),
    (b"MM\x00*", "a TIFF picture", "Save it as PNG, JPEG or PDF"),
    (b"GIF8", "a GIF picture", "Save it as PNG, JPEG or PDF"),
    (b"BM", "a BMP picture", "Save it as PNG, JPEG or PDF"),
    (b"RIFF", "a WebP picture or a sound", "Save it as PNG, JPEG or PDF"),
    (b"\x00\x00\x00", "a HEIC picture or a film", "Save it as PNG, JPEG or PDF"),
    (b"AC10", "a drawing that only few programs read", "Save it as DXF or PDF"),
    (
        b"PK\x03\x04",
        "a ZIP archive or an office document",
        "Take the plan out of it, or save it as PDF or CSV",
    ),
    (b"%!PS", "a PostScript file", "Save it as PDF"),
)
_WANTED: Final = "a PDF, PNG, JPEG, DXF, CSV or floor document (JSON)"


def kind_of(data: bytes) -> str:
    """`pdf`, `image`, `dxf`, `csv` or `floor`. Raises JobRefused naming what it is instead, where that is known."""
    if not data:
        raise JobRefused(f"The file is empty. Add {_WANTED}.")
    if data.startswith(_PICTURES):
        return "image"
    if b"%PDF-" in data[:PDF_WITHIN]:
        return "pdf"
    if _BINARY_DXF.match(data):
        return "dxf"
    text = _text(data[:LOOKED_AT])
    if text is not None:
        return _kind_of_text(text)
    for sign, what, instead in _OTHERS:
        if data.startswith(sign):
            raise JobRefused(f"The file is {what}. {instead}, and add that.")
    raise JobRefused(f"The file can't be told what it is. Add {_WANTED}.")


def _kind_of_text(text: str) -> str:
    if _TEXT_DXF.match(text):
        return "dxf"
    if text.lstrip()[:1] in ("{", "["):
        return "floor"
    if re.search(r"\d", text) and re.search(r"[,;\t]", text):
        return "csv"
    raise JobRefused(f"The file is a text without numbers in columns. Add {_WANTED}.")


def _text(head: bytes) -> str | None:
    """The beginning as text, None where it is none. Of a text in an old alphabet only the plain signs matter here."""
    for mark, encoding in _MARKS:
        if head.startswith(mark):
            return head.decode(encoding, "replace").replace("\r\n", "\n")
    controls = sum(1 for sign in head if sign < 9 or 13 < sign < 32)
    if controls > len(head) // 500:
        return None
    return head.decode("latin-1").replace("\r\n", "\n").replace("\r", "\n")


def safe_name(name: str) -> str:
    """A file's name as people may read it: no folder, no sign that can't be seen or that turns the line around.

    At most 120 signs; a longer one loses its middle and keeps its ending.
    """
    last = re.split(r"[/\\]", name)[-1]
    plain = "".join(sign if _printable(sign) else " " for sign in unicodedata.normalize("NFC", last))
    words = re.sub(r"\s+", " ", plain).strip(" .")
    if len(words) > NAME_MOST:
        words = f"{words[: NAME_MOST - 21].rstrip()}…{words[-20:].lstrip()}"
    return words or "plan"


def _printable(sign: str) -> bool:
    """Whether a sign is a letter, mark, number, stop, symbol or the plain space: not control, format or unassigned."""
    return unicodedata.category(sign)[0] in "LMNPS" or sign == " "
