"""Sections of a bound paper: each is laid out by itself and kept by its content.

A section is a template and what it shows. Nothing that changes with every revision (number, date, page x of y)
stands in it: that is drawn over it when the paper is bound (`framing.common.binding`). So a revision renders
only the sections whose content changed.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from importlib.metadata import version
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.utils.timezone import get_current_timezone_name
from django.utils.translation import get_language

from framing.common.section_store import SectionStore
from framing.common.side_by_side import run_all

Make = Callable[..., Mapping[str, Any]]
LIBRARIES: Final = ("weasyprint", "pydyf", "fonttools", "tinyhtml5", "tinycss2", "pypdf")
CODE: Final = ("framing", "quotes", "orders", "templates")
COUNTS: Final = (".py", ".html", ".css", ".csv", ".woff2")
_LENGTH_BYTES: Final = 4


class Told:
    """A big value that tells itself apart by a digest of its `repr`, taken once for all sections that show it."""

    __slots__ = ("_words", "value")

    def __init__(self, value: object) -> None:
        self.value = value
        self._words = hashlib.sha256(repr(value).encode()).hexdigest()

    def __repr__(self) -> str:
        return self._words


@dataclass(frozen=True, slots=True)
class Section:
    """One section before it is laid out.

    Attributes:
        name: the section's address in the paper, for links: `page:<name>`.
        template: under `templates/pdf/`.
        make: gives the template's context from `inputs` alone, so that equal inputs are an equal section.
        inputs: all that the section shows; values whose `repr` tells them apart, or `Told` ones.
        weight: rough share of the work; heavy ones begin first.
    """

    name: str
    template: str
    make: Make
    inputs: tuple[object, ...]
    weight: int = 1

    def context(self) -> Mapping[str, Any]:
        """What the template shows."""
        return self.make(*(value.value if isinstance(value, Told) else value for value in self.inputs))

    @property
    def key(self) -> str:
        """SHA-256 of everything that the section's pages depend on."""
        where = (get_language(), get_current_timezone_name(), settings.USE_THOUSAND_SEPARATOR)
        parts = (edition(), self.name, self.template, self.make.__module__, self.make.__qualname__, where)
        digest = hashlib.sha256(repr(parts).encode())
        for value in self.inputs:
            digest.update(b"\0" + repr(value).encode())
        return digest.hexdigest()


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A section as pages. Tag tree, bookmarks and addresses stand beside them, to be joined at the binding.

    Attributes:
        data: a PDF of the pages alone.
        wide: for each page, whether it lies on its side.
        overlays: for each page, an SVG with `{date}`, `{revision}` and `{sheet}` to be drawn over it, or "".
        tags, bookmarks, places: see `framing.common.tag_tree`.
    """

    data: bytes
    wide: tuple[bool, ...]
    overlays: tuple[str, ...]
    tags: Sequence[Any]
    bookmarks: Sequence[Any]
    places: Mapping[str, Any]

    @property
    def pages(self) -> int:
        return len(self.wide)

    def packed(self) -> bytes:
        """As bytes for the store."""
        values = asdict(self)
        data: bytes = values.pop("data")
        head = json.dumps(values, separators=(",", ":"), sort_keys=True).encode()
        return len(head).to_bytes(_LENGTH_BYTES, "big") + head + data

    @classmethod
    def unpacked(cls, stored: bytes) -> LaidOut:
        """The section of `packed`."""
        end = _LENGTH_BYTES + int.from_bytes(stored[:_LENGTH_BYTES], "big")
        values = json.loads(stored[_LENGTH_BYTES:end])
        return cls(
            data=stored[end:],
            wide=tuple(values["wide"]),
            overlays=tuple(values["overlays"]),
            tags=values["tags"],
            bookmarks=values["bookmarks"],
            places=values["places"],
        )


@lru_cache(maxsize=1)
def edition() -> str:
    """SHA-256 of the program's own files, fonts and PDF libraries: another release renders anew."""
    digest = hashlib.sha256()
    for name in LIBRARIES:
        digest.update(f"{name} {version(name)}\n".encode())
    root = Path(settings.BASE_DIR)
    for folder in CODE:
        for path in sorted((root / folder).rglob("*")):
            if path.suffix in COUNTS:
                digest.update(str(path.relative_to(root)).encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()


@dataclass(frozen=True, slots=True)
class Piece:
    """Bytes by a key that tells all that they follow from, and how they are made; heavy ones begin first."""

    key: str
    make: Callable[[], bytes]
    weight: int = 1


def lay_out(sections: Sequence[Section], store: SectionStore) -> tuple[LaidOut, ...]:
    """The sections as pages, in their order: from the store where they are there, else rendered side by side."""
    return tuple(LaidOut.unpacked(data) for data in made([piece_of(section) for section in sections], store))


def piece_of(section: Section) -> Piece:
    """A section as a piece of work; its bytes are those of `LaidOut.packed`."""
    return Piece(section.key, lambda: _rendered(section), section.weight)


def made(pieces: Sequence[Piece], store: SectionStore) -> tuple[bytes, ...]:
    """The pieces' bytes, in their order: from the store, else made side by side and kept."""
    distinct = {piece.key: piece for piece in pieces}
    found = {key: data for key in distinct if (data := store.get(key)) is not None}
    work = sorted((piece for key, piece in distinct.items() if key not in found), key=lambda one: -one.weight)
    run_all([_job(found, store, piece) for piece in work])
    for piece in work:
        if piece.key not in found:  # by another process; what that one could not do is done here, and heard
            found[piece.key] = store.get(piece.key) or piece.make()
    return tuple(found[piece.key] for piece in pieces)


def _job(found: dict[str, bytes], store: SectionStore, piece: Piece) -> Callable[[], None]:
    def work() -> None:
        found[piece.key] = piece.make()
        store.put(piece.key, found[piece.key])

    return work


def _rendered(section: Section) -> bytes:
    from framing.common.documents import render_section  # loads the PDF library: a second, and only here

    return render_section(section).packed()
