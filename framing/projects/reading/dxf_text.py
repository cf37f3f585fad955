"""A DXF file as the tagged text that its reader takes: limits before anything is unpacked, binary files as text."""

from __future__ import annotations

import codecs
import re
import struct
from collections.abc import Iterator
from typing import Final

from framing.common.bounded import JobRefused

BYTES_MOST: Final = 25 * 2**20
LINES_MOST: Final = 2_000_000
THINGS_MOST: Final = 60_000
"""Things (lines, texts, blocks' parts, table rows) that a drawing may hold."""
_BINARY: Final = b"Binary DXF\r\n\x1a\x00"
_OTHER_DRAWING: Final = re.compile(rb"AC10\d\d")
_SECTION: Final = re.compile(rb"(?:^|\n)[ \t]*0[ \t]*\r?\n[ \t]*SECTION\s*?\n[ \t]*2[ \t]*\r?\n[ \t]*(\w+)")
_THING: Final = re.compile(rb"\n[ \t]*0[ \t]*\r?\n[ \t]*[A-Za-z]")
_SMALLER: Final = "Save only the floor's own layers as a DXF and add that."


def tagged_text(data: bytes) -> tuple[bytes, tuple[str, ...]]:
    """The file's tags as text, and what had to be mended for it.

    Raises JobRefused for what is no DXF or too large to read safely.
    """
    if len(data) > BYTES_MOST:
        raise JobRefused(f"The drawing has {len(data):,} bytes; at most {BYTES_MOST:,} are read. {_SMALLER}")
    if _OTHER_DRAWING.match(data):
        raise JobRefused(
            "This is a drawing in its program's own format, no DXF. Save it as DXF and add that."
        )
    if data[:40].find(_BINARY) >= 0:
        text, broken = _from_binary(data)
        mended = ("The binary file breaks off; what stands before is read.",) if broken else ()
    else:
        text, mended = _plain(data), ()
    _check_size(text)
    whole, cut = _ended(text)
    return whole, (*mended, *cut)


def drawn_parts(text: bytes) -> bytes:
    """Only what is drawn: tables, blocks and entities, with version and units; the rest may be what is damaged."""
    kept = [b"0\nSECTION\n2\nHEADER\n"]
    for name, code in ((b"$ACADVER", b"1"), (b"$INSUNITS", b"70"), (b"$MEASUREMENT", b"70")):
        found = re.search(re.escape(name) + rb"\r?\n[ \t]*" + code + rb"\r?\n[ \t]*(\w{1,8})\r?\n", text)
        if found:
            kept.append(b"9\n" + name + b"\n" + code + b"\n" + found[1] + b"\n")
    kept.append(b"0\nENDSEC\n")
    starts = list(_SECTION.finditer(text))
    ends = [*(start.start() for start in starts[1:]), len(text)]
    for start, end in zip(starts, ends, strict=True):
        if start[1] in (b"TABLES", b"BLOCKS", b"ENTITIES"):
            kept.append(text[start.start() : end].strip(b"\r\n") + b"\n")
    return b"".join([*kept, b"0\nEOF\n"])


def _ended(text: bytes) -> tuple[bytes, tuple[str, ...]]:
    """Text that breaks off, without its last thing, which may lack a part, and with an end."""
    start = max(
        text.rfind(b"\n0\n"), text.rfind(b"\n0\r\n"), text.rfind(b"\n  0\n"), text.rfind(b"\n  0\r\n")
    )
    last = text[start:].split()[1:2]
    if last in ([b"EOF"], [b"ENDSEC"]) or start < 0:
        return text, ()
    words = "The file breaks off in the middle; its last thing was left."
    return text[: start + 1] + b"0\nENDSEC\n0\nEOF\n", (words,)


def _plain(data: bytes) -> bytes:
    """Text without a byte-order mark; two-byte text as UTF-8, old line ends as new ones."""
    for mark, encoding in ((codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16")):
        if data.startswith(mark):
            data = data.decode(encoding, "replace").encode()
    data = data.removeprefix(codecs.BOM_UTF8)
    return data if b"\n" in data[:4096] else data.replace(b"\r", b"\n")


def _check_size(text: bytes) -> None:
    lines = text.count(b"\n")
    if lines > LINES_MOST:
        raise JobRefused(
            f"The drawing has {lines:,} lines of text; at most {LINES_MOST:,} are read. {_SMALLER}"
        )
    things = sum(1 for _ in _THING.finditer(text))
    if things > THINGS_MOST:
        raise JobRefused(f"The drawing holds {things:,} things; at most {THINGS_MOST:,} are read. {_SMALLER}")
    if not things and b"SECTION" not in text[:4096]:
        raise JobRefused("This is no DXF drawing: it has no section. Save the plan as DXF and add that.")


def _from_binary(data: bytes) -> tuple[bytes, bool]:
    parts: list[bytes] = []
    broken = False
    tags = _binary_tags(data)
    while True:
        try:
            parts.append(next(tags))
        except StopIteration:
            break
        except (struct.error, IndexError, ValueError, UnicodeError, LookupError):
            broken = True
            break
        if len(parts) > LINES_MOST // 2:
            raise JobRefused(
                f"The drawing has over {LINES_MOST // 2:,} entries; at most so many are read. {_SMALLER}"
            )
    if not parts:
        raise JobRefused("The binary DXF can't be read. Save the plan as a text DXF and add that.")
    return b"".join(parts), broken


def _binary_tags(data: bytes) -> Iterator[bytes]:
    from ezdxf.lldxf.const import DXFError
    from ezdxf.lldxf.tagger import binary_tags_loader

    try:
        for tag in binary_tags_loader(data):
            value = tag.value
            words = value.hex().upper() if isinstance(value, bytes) else str(value)
            yield f"{tag.code}\n{words.translate(_LINE_ENDS)}\n".encode("utf-8", "surrogateescape")
    except DXFError as error:
        raise ValueError(str(error)) from error


_LINE_ENDS: Final = {10: " ", 13: " "}
