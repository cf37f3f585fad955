"""The joined tag tree of a bound paper, written in one go: thousands of small objects, each a line of bytes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import IO, Any, Final

from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    IndirectObject,
    NameObject,
    NumberObject,
    PdfObject,
)

from framing.common.tag_tree import LINK

_TABLE: Final = ("Scope", "ColSpan", "RowSpan")


class Line(PdfObject):
    """An object that is written as it is."""

    def __init__(self, data: bytes = b"null") -> None:
        self.data = data

    def write_to_stream(self, stream: IO[Any], encryption_key: str | bytes | None = None) -> None:
        del encryption_key  # our papers are not locked
        stream.write(self.data)

    def hash_bin(self) -> int:
        return hash(self.data)


class TagWriter:
    """Gives every node an object of its own and keeps what the tree of parents needs."""

    def __init__(self, writer: PdfWriter) -> None:
        self._writer = writer
        self._pages = [page.indirect_reference for page in writer.pages]
        self._contents: list[dict[int, bytes]] = [{} for _ in self._pages]
        self._links: list[tuple[DictionaryObject, bytes]] = []

    @property
    def links(self) -> int:
        """How many links were tagged."""
        return len(self._links)

    def new(self) -> tuple[Line, bytes]:
        """An empty object and the reference to it."""
        line = Line()
        return line, _words(self._writer._add_object(line))

    def node(self, node: Sequence[Any], parent: bytes, first: int) -> bytes:
        """Write a node and all under it; returns the reference to it. `first` is the section's first page."""
        tag, page, attributes, kids = node
        line, reference = self.new()
        inside = b" ".join(self._kid(kid, reference, first, first + page) for kid in kids)
        line.data = b"".join(
            (
                b"<</Type/StructElem/S/", tag.encode(), b"/P ", parent, b"/Pg ", _words(self._pages[first + page]),
                _attributes(attributes), b"/K[", inside, b"]>>",
            )
        )  # fmt: skip
        return reference

    def _kid(self, kid: Any, parent: bytes, first: int, page: int) -> bytes:
        if isinstance(kid, int):
            self._contents[page][kid] = parent
            return b"%d" % kid
        if kid[0] != LINK:
            return self.node(kid, parent, first)
        on_page = first + kid[1]
        annotation = self._writer.pages[on_page]["/Annots"][kid[2]]
        self._links.append((annotation.get_object(), parent))
        thing = _words(annotation.indirect_reference)
        return b"<</Type/OBJR/Obj " + thing + b"/Pg " + _words(self._pages[on_page]) + b">>"

    def parents(self) -> bytes:
        """The tree of parents, by page and then by link; pages and links learn their numbers."""
        rows = []
        for number, (page, found) in enumerate(zip(self._writer.pages, self._contents, strict=True)):
            page[NameObject("/StructParents")] = NumberObject(number)
            page[NameObject("/Tabs")] = NameObject("/S")
            owners = (found.get(mark, b"null") for mark in range(max(found, default=-1) + 1))
            rows.append(b"%d[" % number + b" ".join(owners) + b"]")
        for number, (annotation, parent) in enumerate(self._links, start=len(rows)):
            annotation[NameObject("/StructParent")] = NumberObject(number)
            rows.append(b"%d " % number + parent)
        line, reference = self.new()
        line.data = b"<</Nums[" + b"\n".join(rows) + b"]>>"
        return reference


def write_tags(writer: PdfWriter, sections: Sequence[tuple[str, int, Sequence[Any]]]) -> None:
    """Join the trees of (name, first page, nodes) under one Document; each section is a Sect of it."""
    tags = TagWriter(writer)
    root = DictionaryObject({NameObject("/Type"): NameObject("/StructTreeRoot")})
    above = _words(writer._add_object(root))
    document, reference = tags.new()
    parts = [tags.node(["Sect", 0, {}, nodes], reference, first) for _, first, nodes in sections]
    document.data = b"<</Type/StructElem/S/Document/P " + above + b"/K[" + b" ".join(parts) + b"]>>"
    count = len(writer.pages)
    root[NameObject("/K")] = ArrayObject([_reference(writer, reference)])
    root[NameObject("/ParentTree")] = _reference(writer, tags.parents())
    root[NameObject("/ParentTreeNextKey")] = NumberObject(count + tags.links)
    writer.root_object[NameObject("/StructTreeRoot")] = _reference(writer, above)


def _attributes(found: dict[str, Any]) -> bytes:
    parts = []
    table = b"".join(_pair(name, found[name]) for name in _TABLE if name in found)
    if table:
        parts.append(b"/A<</O/Table" + table + b">>")
    if "BBox" in found:
        box = " ".join(f"{value:g}" for value in found["BBox"]).encode()
        parts.append(b"/A<</O/Layout/Placement/Block/BBox[" + box + b"]>>")
    if "Alt" in found:
        parts.append(b"/Alt<" + ("\ufeff" + found["Alt"]).encode("utf-16-be").hex().encode() + b">")
    return b"".join(parts)


def _pair(name: str, value: Any) -> bytes:
    return f"/{name}/{value}".encode() if isinstance(value, str) else f"/{name} {value}".encode()


def _words(reference: IndirectObject | None) -> bytes:
    return b"null" if reference is None else b"%d 0 R" % reference.idnum


def _reference(writer: PdfWriter, words: bytes) -> IndirectObject:
    return IndirectObject(int(words.split()[0]), 0, writer)
