"""Binding: sections become one PDF, with heads and feet drawn over them, one tag tree, bookmarks and links.

Pages are copied as they are; nothing is laid out again. What stands on every page (head, foot, revision, date,
page x of y) is one overlay a page, marked as an artifact, so that a reader of tags hears the content alone.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any, Final

from django.template.loader import render_to_string
from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    ByteStringObject,
    DecodedStreamObject,
    DictionaryObject,
    Fit,
    FloatObject,
    IndirectObject,
    NameObject,
    NullObject,
    NumberObject,
    PdfObject,
    StreamObject,
    TextStringObject,
)

from framing.common.sections import LaidOut
from framing.common.tag_writer import write_tags

VERSION: Final = "%PDF-1.7"
METADATA: Final = "pdf/_metadata.xml"
_IDENTITY_BYTES: Final = 16
_UNDER: Final = b"q\n"
_OVER: Final = b"\nQ\n/Artifact <</Type /Pagination>> BDC\nq /Frame Do Q\nq /Number Do Q\nEMC\n"
_STRIP: Final = b"/Artifact <</Type /Pagination>> BDC\nq /Strip Do Q\nEMC\n"


@dataclass(frozen=True, slots=True)
class PaperHead:
    """What the bound file says about itself; `dated` stands as made and modified, for no clock is asked."""

    title: str
    author: str
    subject: str
    language: str
    dated: datetime


@dataclass(frozen=True, slots=True)
class Bound:
    """A section at its place."""

    name: str
    pages: LaidOut
    first: int  # number of its first page, from 0


@dataclass(frozen=True, slots=True)
class Overlay:
    """What is drawn over the sheets.

    Attributes:
        frames: a PDF of the heads and feet, and of what else is drawn over some sheets.
        numbers: a PDF with a page for each sheet: its number.
        places: for each sheet the page of `frames` that is its frame, and one more to be drawn or None; from 0.
    """

    frames: bytes
    numbers: bytes
    places: tuple[tuple[int, int | None], ...]


def in_order(names: Sequence[str], sections: Sequence[LaidOut]) -> tuple[Bound, ...]:
    """The sections with the numbers of their first pages."""
    found, first = [], 0
    for name, pages in zip(names, sections, strict=True):
        found.append(Bound(name, pages, first))
        first += pages.pages
    return tuple(found)


def bind(sections: Sequence[Bound], overlay: Overlay, head: PaperHead) -> bytes:
    """One PDF of all sections. Equal input gives equal bytes."""
    writer = PdfWriter()
    for section in sections:
        for page in PdfReader(io.BytesIO(section.pages.data)).pages:
            writer.add_page(page)
    _draw_over(writer, overlay)
    _set_names(writer, sections)
    for section in sections:
        _add_bookmarks(writer, section.pages.bookmarks, section.first, None)
    write_tags(writer, [(section.name, section.first, section.pages.tags) for section in sections])
    _describe(writer, head, _identity(sections, overlay, head))
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def _draw_over(writer: PdfWriter, overlay: Overlay) -> None:
    under = writer._add_object(_stream(_UNDER))
    over = writer._add_object(_stream(_OVER))
    strip = writer._add_object(_stream(_STRIP))
    drawn = [_form(writer, page) for page in PdfReader(io.BytesIO(overlay.frames)).pages]
    numbers = [_form(writer, page) for page in PdfReader(io.BytesIO(overlay.numbers)).pages]
    for page, (frame, more), number in zip(writer.pages, overlay.places, numbers, strict=True):
        contents = page.raw_get("/Contents")
        kept = contents if isinstance(contents, ArrayObject) else ArrayObject([contents])
        page[NameObject("/Contents")] = ArrayObject([under, *kept, over, *([] if more is None else [strip])])
        resources = _dictionary(page["/Resources"])
        objects = _dictionary(resources.get("/XObject", DictionaryObject()))
        objects[NameObject("/Frame")], objects[NameObject("/Number")] = drawn[frame], number
        if more is not None:
            objects[NameObject("/Strip")] = drawn[more]
        resources[NameObject("/XObject")] = objects
        page[NameObject("/Resources")] = resources


def _dictionary(value: PdfObject) -> DictionaryObject:
    """A copy of a dictionary, so that what one page adds no other one gets."""
    found = value.get_object()
    assert isinstance(found, DictionaryObject)  # noqa: S101  # as the PDF library writes resources
    return DictionaryObject(found)


def _form(writer: PdfWriter, page: Any) -> IndirectObject:
    """A page as a thing that can be drawn on another one."""
    form = page["/Contents"].get_object().clone(writer)
    assert isinstance(form, StreamObject)  # noqa: S101  # the PDF library writes one stream a page
    form[NameObject("/Type")] = NameObject("/XObject")
    form[NameObject("/Subtype")] = NameObject("/Form")
    form[NameObject("/BBox")] = ArrayObject(FloatObject(value) for value in page.mediabox)
    form[NameObject("/Resources")] = page.raw_get("/Resources").clone(writer)
    reference = form.indirect_reference
    assert reference is not None  # noqa: S101  # a cloned stream is always one of the writer's objects
    return reference


def _stream(data: bytes) -> DecodedStreamObject:
    stream = DecodedStreamObject()
    stream.set_data(data)
    return stream


def _place(writer: PdfWriter, page: int, left: float, top: float) -> ArrayObject:
    reference = writer.pages[page].indirect_reference or NullObject()
    where = (NumberObject(0) if value == 0 else FloatObject(round(value, 2)) for value in (left, top, 0))
    return ArrayObject([reference, NameObject("/XYZ"), *where])


def _set_names(writer: PdfWriter, sections: Sequence[Bound]) -> None:
    """One tree of named places: each section's first page and the addresses inside it."""
    found = dict(_places(writer, sections))
    names = ArrayObject()
    for name in sorted(found):
        names += [TextStringObject(name), found[name]]
    tree = DictionaryObject({NameObject("/Names"): names})
    writer.root_object[NameObject("/Names")] = DictionaryObject({NameObject("/Dests"): tree})


def _places(writer: PdfWriter, sections: Sequence[Bound]) -> Iterator[tuple[str, ArrayObject]]:
    for section in sections:
        yield section.name, _place(writer, section.first, 0, float(writer.pages[section.first].mediabox.top))
        for name, (page, left, top) in section.pages.places.items():
            yield name, _place(writer, section.first + page, left, top)


def _add_bookmarks(writer: PdfWriter, marks: Sequence[Any], first: int, parent: Any) -> None:
    for title, (page, left, top), kids in marks:
        fit = Fit.xyz(left=round(left, 2), top=round(top, 2), zoom=0)
        mark = writer.add_outline_item(
            title=title, page_number=first + page, parent=parent, fit=fit, is_open=False
        )
        _add_bookmarks(writer, kids, first, mark)


def _describe(writer: PdfWriter, head: PaperHead, identity: bytes) -> None:
    """Title, language, page labels and the statement of PDF/UA, and an identity that follows the content."""
    stamp = f"{head.dated.astimezone(UTC):%Y%m%d%H%M%S}"
    writer.metadata = {
        "/Title": head.title,
        "/Author": head.author,
        "/Subject": head.subject,
        "/Producer": "WeasyPrint, pypdf",
        "/CreationDate": f"D:{stamp}Z",
        "/ModDate": f"D:{stamp}Z",
    }
    root = writer.root_object
    plain: dict[str, PdfObject] = {
        "/Lang": TextStringObject(head.language),
        "/MarkInfo": DictionaryObject({NameObject("/Marked"): BooleanObject(True)}),
        "/ViewerPreferences": DictionaryObject({NameObject("/DisplayDocTitle"): BooleanObject(True)}),
        "/PageMode": NameObject("/UseOutlines"),
        "/PageLabels": _labels(),
        "/Metadata": writer._add_object(_metadata(head)),
    }
    for name, value in plain.items():
        root[NameObject(name)] = value
    writer._ID = ArrayObject([ByteStringObject(identity), ByteStringObject(identity)])
    writer.pdf_header = VERSION


def _identity(sections: Sequence[Bound], overlay: Overlay, head: PaperHead) -> bytes:
    digest = sha256(repr((head, overlay.places)).encode() + overlay.frames + overlay.numbers)
    for section in sections:
        digest.update(section.pages.data)
    return digest.digest()[:_IDENTITY_BYTES]


def _labels() -> DictionaryObject:
    plain = DictionaryObject({NameObject("/S"): NameObject("/D"), NameObject("/St"): NumberObject(1)})
    return DictionaryObject({NameObject("/Nums"): ArrayObject([NumberObject(0), plain])})


def _metadata(head: PaperHead) -> DecodedStreamObject:
    stream = _stream(render_to_string(METADATA, {"head": head}).encode())
    stream[NameObject("/Type")] = NameObject("/Metadata")
    stream[NameObject("/Subtype")] = NameObject("/XML")
    return stream
