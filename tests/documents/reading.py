"""Reading a PDF back: words, pages, tags, bookmarks, links, fonts. Nothing here knows how it was made."""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from xml.etree import ElementTree

import pypdf
import pypdfium2
from pypdf.generic import ContentStream, DictionaryObject, IndirectObject


def words(data: bytes) -> list[str]:
    """The words of each page in the order of drawing, runs of white space as one space."""
    document = pypdfium2.PdfDocument(data)
    found = [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]
    document.close()
    return found


@dataclass
class Element:
    """A structure element: tag, attributes, kids, and the words of the marked contents under it are not read."""

    tag: str
    raw: Any
    kids: list[Element] = field(default_factory=list)
    contents: list[tuple[int, int]] = field(default_factory=list)  # object number of the page, MCID
    links: int = 0

    def walk(self) -> Iterator[Element]:
        yield self
        for kid in self.kids:
            yield from kid.walk()


def reader(data: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(data))


def tags(document: pypdf.PdfReader) -> Element:
    """The tree under the one Document element; every element must name its parent."""
    root = document.trailer["/Root"]["/StructTreeRoot"]
    (top,) = root["/K"]
    return _element(top, root.indirect_reference)


def _element(reference: Any, parent: Any) -> Element:
    raw = reference.get_object()
    assert raw["/Type"] == "/StructElem"
    assert raw.raw_get("/P").idnum == parent.idnum
    element = Element(raw["/S"][1:], raw)
    for kid in raw.get("/K", []):
        if isinstance(kid, int):
            element.contents.append((raw.raw_get("/Pg").idnum, int(kid)))
        elif isinstance(kid, IndirectObject) and kid.get_object().get("/Type") == "/StructElem":
            element.kids.append(_element(kid, reference))
        else:
            assert kid.get_object()["/Type"] == "/OBJR"
            element.links += 1
    return element


def marked(document: pypdf.PdfReader, page: Any) -> tuple[list[int], int]:
    """Numbers of the page's marked contents, and how many drawings stand outside any mark."""
    depth, loose = 0, 0
    numbers: list[int] = []
    content = ContentStream(page["/Contents"].get_object(), document)
    for operands, operator in content.operations:
        if operator in (b"BDC", b"BMC"):
            depth += 1
            if operator == b"BDC" and isinstance(operands[1], DictionaryObject) and "/MCID" in operands[1]:
                numbers.append(int(operands[1]["/MCID"]))
        elif operator == b"EMC":
            depth -= 1
        elif operator in (b"Tj", b"TJ", b"S", b"s", b"f", b"f*", b"B", b"b", b"Do", b"sh") and depth == 0:
            loose += 1
    assert depth == 0
    return numbers, loose


def check_universal_access(data: bytes) -> Element:
    """What PDF/UA-1 asks of a file of this kind, as far as it can be read from the file."""
    document = reader(data)
    root = document.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert root["/Lang"]
    assert document.metadata is not None
    assert document.metadata.title
    meta = root["/Metadata"].get_object().get_data().decode()
    assert 'pdfuaid:part="1"' in meta
    told = ElementTree.fromstring(meta.encode())  # noqa: S314  # our own paper
    assert document.metadata.title in {element.text for element in told.iter()}
    tree = tags(document)
    _check_contents(document, tree)
    _check_shapes(tree)
    _check_links(document, tree)
    _check_fonts(document)
    return tree


def _check_contents(document: pypdf.PdfReader, tree: Element) -> None:
    """Each marked content of a page has one element, by tree and by the tree of parents; the rest are artifacts."""
    owners = Counter(content for element in tree.walk() for content in element.contents)
    assert set(owners.values()) == {1}
    numbers = document.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    parents = dict(zip(numbers[::2], numbers[1::2], strict=True))
    for page in document.pages:
        assert page["/Tabs"] == "/S"
        found, loose = marked(document, page)
        assert loose == 0
        place = page.indirect_reference.idnum
        assert {(place, number) for number in found} == {content for content in owners if content[0] == place}
        row = parents[page["/StructParents"]]
        for number in found:
            assert number in row[number].get_object()["/K"]


def _check_shapes(tree: Element) -> None:
    """Headings start with 1 and skip none; tables hold rows and cells; figures and heads of tables are told."""
    level = 0
    for element in tree.walk():
        if found := re.fullmatch(r"H([1-6])", element.tag):
            assert int(found[1]) <= level + 1, element.raw
            level = int(found[1])
        inside = {kid.tag for kid in element.kids}
        if element.tag == "Table":
            assert inside <= {"THead", "TBody", "TFoot", "TR", "Caption"}
            assert len({_width(row) for row in element.walk() if row.tag == "TR"}) == 1
        elif element.tag in ("THead", "TBody", "TFoot"):
            assert inside == {"TR"}
        elif element.tag == "TR":
            assert inside <= {"TH", "TD"}
        elif element.tag == "TH":
            assert element.raw["/A"]["/Scope"] in ("/Row", "/Column")
        elif element.tag == "L":
            assert inside == {"LI"}
        elif element.tag == "Figure":
            assert element.raw["/Alt"]
            assert len(element.raw["/A"]["/BBox"]) == 4


def _width(row: Element) -> int:
    """Columns that a row's cells take."""
    return sum(int(cell.raw.get("/A", {}).get("/ColSpan", 1)) for cell in row.kids)


def _check_links(document: pypdf.PdfReader, tree: Element) -> None:
    """Every link stands in a Link element, is told in words, and leads to a place that is there."""
    names = document.named_destinations
    count = 0
    for page in document.pages:
        for annotation in page.get("/Annots", []):
            thing = annotation.get_object()
            assert thing["/Subtype"] == "/Link"
            assert thing["/Contents"]
            assert "/StructParent" in thing
            assert "/A" not in thing
            assert thing["/Dest"] in names
            count += 1
    assert sum(element.links for element in tree.walk() if element.tag == "Link") == count
    assert not [element for element in tree.walk() if element.links and element.tag != "Link"]


def fonts(document: pypdf.PdfReader) -> dict[str, bool]:
    """Every font by name, and whether its file is in the paper."""
    found: dict[str, bool] = {}
    for page in document.pages:
        _fonts_of(page["/Resources"], found)
    return found


def _fonts_of(resources: Any, found: dict[str, bool]) -> None:
    for font in resources.get("/Font", {}).values():
        thing = font.get_object()
        (inner,) = thing["/DescendantFonts"]
        descriptor = inner.get_object()["/FontDescriptor"]
        assert "/ToUnicode" in thing
        found[thing["/BaseFont"]] = any(
            name in descriptor for name in ("/FontFile", "/FontFile2", "/FontFile3")
        )
    for drawn in resources.get("/XObject", {}).values():
        thing = drawn.get_object()
        if thing["/Subtype"] == "/Form" and "/Resources" in thing:
            _fonts_of(thing["/Resources"], found)


def _check_fonts(document: pypdf.PdfReader) -> None:
    found = fonts(document)
    assert found
    assert all(found.values())
    assert {name.split("+")[-1].split("-")[0] for name in found} <= {
        "AtkinsonHyperlegibleNext", "AtkinsonHyperlegibleMono", "Atkinson",
    }, found  # fmt: skip


def bookmarks(document: pypdf.PdfReader) -> list[tuple[int, str, int]]:
    """Level, title and page number from 1 of every bookmark."""
    return list(_marks(document, document.outline, 0))


def _marks(document: pypdf.PdfReader, marks: list[Any], level: int) -> Iterator[tuple[int, str, int]]:
    for mark in marks:
        if isinstance(mark, list):
            yield from _marks(document, mark, level + 1)
        else:
            number = document.get_destination_page_number(mark)
            assert number is not None
            yield level, mark.title, number + 1
