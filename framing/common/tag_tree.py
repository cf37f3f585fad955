"""The tag tree of a section: taken out of the PDF before it is written, so that many can be joined in one.

The PDF library tags each section by itself. Here its tree becomes plain lists (JSON can hold them), made leaner on
the way: what means nothing to a reader (NonStruct, a Span of one piece) is left out, heads of tables say their scope,
and a figure's box is in the page's own points. A node is [tag, page, attributes, kids]; a kid is a node, the number
of a marked content of that page, or ["link", page, index among the page's annotations].
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

Node = list[Any]
LINK: Final = "link"
PAGE_LINK: Final = "page:"  # an address of another section of the same paper
PT_PER_PX: Final = 0.75
_EMPTY_CELLS: Final = ("TD", "TH")
_IN_ROWS: Final = ("TBody", "TFoot")


@dataclass(frozen=True, slots=True)
class Taken:
    """What was taken out of a PDF: tags, bookmarks [title, [page, x, y], kids], places {name: [page, x, y]}."""

    tags: list[Any]
    bookmarks: list[Any]
    places: dict[str, Any]


class TagTaker:
    """Walks the object tree of a finished, unwritten PDF."""

    def __init__(self, pdf: Any, heights_pt: Sequence[float]) -> None:
        self._objects = pdf.objects
        self._pages = {reference: number for number, reference in enumerate(pdf.page_references)}
        self._heights = heights_pt
        self._links: dict[bytes, tuple[int, int]] = {}
        for reference, number in self._pages.items():
            for index, annotation in enumerate(self._at(reference).get("Annots", ())):
                self._links[annotation] = (number, index)

    def _at(self, reference: bytes) -> Any:
        return self._objects[int(reference.split()[0])]

    def tags(self, root: bytes) -> list[Any]:
        """The nodes under the document's element."""
        (document,) = self._at(root)["K"]
        return [kid for reference in self._at(document)["K"] for kid in self._kid(reference, rows=False)]

    def _kid(self, reference: Any, *, rows: bool) -> Iterator[Any]:
        """A kid as it stands in its parent: a number, a link, a node, or the kids of what means nothing."""
        if not isinstance(reference, bytes):
            yield reference
            return
        element = self._at(reference)
        if element["Type"] == "/OBJR":
            yield [LINK, *self._links[element["Obj"]]]
            return
        tag = element["S"][1:]
        rows = (rows or tag in _IN_ROWS) and tag != "THead"
        kids = [kid for inner in element["K"] for kid in self._kid(inner, rows=rows)]
        numbers_only = all(isinstance(kid, int) for kid in kids)
        if (
            tag == "NonStruct"
            or (
                tag == "L" and [kid[0] for kid in kids if isinstance(kid, list)] == ["L"]
            )  # a list shown as a table
            or (tag == "Span" and numbers_only)
            or (tag == "Div" and not any(isinstance(kid, int) for kid in kids))
        ):
            yield from kids
        elif kids or tag in _EMPTY_CELLS:
            yield [tag, self._pages[element["Pg"]], self._attributes(element, tag, rows=rows), kids]

    def _attributes(self, element: Any, tag: str, *, rows: bool) -> dict[str, Any]:
        more = element.get("A", {})
        found: dict[str, Any] = {}
        if tag == "TH":
            found["Scope"] = "Row" if rows else "Column"
        for name in ("ColSpan", "RowSpan"):
            if name in more:
                found[name] = more[name]
        if "Alt" in element:
            found["Alt"] = element["Alt"].string
        if "BBox" in more:
            left, top, right, bottom = (value * PT_PER_PX for value in more["BBox"])
            height = self._heights[self._pages[element["Pg"]]]
            found["BBox"] = [round(value, 2) for value in (left, height - bottom, right, height - top)]
        return found

    def places(self, names: Sequence[Any]) -> dict[str, Any]:
        """Named places of the section, from the flat list of its name tree."""
        pairs = zip(names[::2], names[1::2], strict=True)
        return {name.string: [self._pages[place[0]], place[2], place[3]] for name, place in pairs}


def take_apart(document: Any, pdf: Any, string: Any) -> Taken:
    """Take tags, bookmarks and named places out of a PDF that is about to be written; the pages stay.

    `string` is the PDF library's type of a text. Addresses of other sections become names of places.
    """
    heights = [page.height * PT_PER_PX for page in document.pages]
    taker = TagTaker(pdf, heights)
    names = pdf.catalog.get("Names", {}).get("Dests", {}).get("Names", [])
    marks = document.make_bookmark_tree(scale=PT_PER_PX, transform_pages=True)
    taken = Taken(taker.tags(pdf.catalog["StructTreeRoot"]), _plain(marks), taker.places(names))
    for thing in pdf.objects:
        if isinstance(thing, dict):
            if thing.get("Subtype") == "/Link":
                _aim(thing, string)
            if _is_of_the_tree(thing):
                thing.free = "f"  # type: ignore[attr-defined]  # the library's dictionary
    for name in ("StructTreeRoot", "Outlines", "Names"):
        pdf.catalog.pop(name, None)
    return taken


def _is_of_the_tree(thing: dict[str, Any]) -> bool:
    return (
        thing.get("Type") in ("/StructElem", "/StructTreeRoot", "/OBJR")
        or "Nums" in thing
        or ("Title" in thing and "Dest" in thing)
    )


def _plain(marks: Sequence[Any]) -> list[Any]:
    return [[title, list(place), _plain(kids)] for title, place, kids, _ in marks]


def _aim(link: dict[str, Any], string: Any) -> None:
    """Point a link at a place by name, and say in words where it leads."""
    link.pop("StructParent", None)
    address = link["A"]["URI"].string if "A" in link else ""
    if address.startswith(PAGE_LINK):
        del link["A"]
        link["Dest"] = string(address.removeprefix(PAGE_LINK))
    if "Dest" in link:
        link["Contents"] = string(f"Go to {link['Dest'].string.replace('-', ' ')}")
