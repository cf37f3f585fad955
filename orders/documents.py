"""Papers of the load: manifest (R48) and bundle tags (R36), from rows or from a bare engine result."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from typing import TYPE_CHECKING

import segno
from django.db.models import QuerySet

from framing.common.cautions import SITE_CAUTIONS
from framing.common.company import Company, company
from orders.models import Bundle, Delivery, Order
from orders.papers.contents import label_content
from orders.papers.reads import stock_for
from orders.papers.sheets import labels_render
from orders.selectors import content_words, mark_counts, offer_words, truck_list
from orders.states import LabelUse, ShopPaperKind
from quotes.selectors import revision_by_pk
from quotes.snapshots import PackageResult

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

LIFT_SHARE = 5  # lift points at 1/5 of the length from both ends (R36)


@dataclass(frozen=True, slots=True)
class PaperMark:
    """Equal pieces of a bundle."""

    mark: str
    count: int
    length_16: int


@dataclass(frozen=True, slots=True)
class PaperBundle:
    """A bundle as papers show it; `place` is floor and zone, `code` is opaque, or "" where there is none."""

    number: int
    profile: str
    place: str
    marks: tuple[PaperMark, ...]
    length_16: int
    weight_lb: float
    note: str
    code: str = ""

    @property
    def pieces(self) -> int:
        return sum(mark.count for mark in self.marks)

    @property
    def lift_16(self) -> int:
        """Distance of the lift points from both ends, down to a whole sixteenth."""
        return self.length_16 // LIFT_SHARE


@dataclass(frozen=True, slots=True)
class PaperCarton:
    number: int
    title: str
    contents: tuple[str, ...]
    weight_lb: float


@dataclass(frozen=True, slots=True)
class PaperTruck:
    """One truck; bundles and cartons stand in order of unloading: first what the crew opens first."""

    number: int
    weight_lb: float
    bundles: tuple[PaperBundle, ...]
    cartons: tuple[PaperCarton, ...]

    @property
    def pieces(self) -> int:
        return sum(bundle.pieces for bundle in self.bundles)

    @property
    def bundle_count(self) -> int:
        return len(self.bundles)

    @property
    def carton_count(self) -> int:
        return len(self.cartons)


@dataclass(frozen=True, slots=True)
class ManifestPaper:
    """Everything the manifest shows; nothing of it is a price."""

    number: str
    order_number: str
    quote_number: str
    project: str
    builder: str
    site: str
    contact: str
    notes: str
    planned_for: date | None
    issued_at: datetime
    units: str
    trucks: tuple[PaperTruck, ...]
    code: str
    call_name: str
    engine_note: str
    supplier: Company

    @property
    def truck_count(self) -> int:
        return len(self.trucks)

    @property
    def bundles(self) -> int:
        return sum(len(truck.bundles) for truck in self.trucks)

    @property
    def cartons(self) -> int:
        return sum(len(truck.cartons) for truck in self.trucks)

    @property
    def weight_lb(self) -> float:
        return sum(truck.weight_lb for truck in self.trucks)


def qr_address(code: str) -> str:
    """A QR code as a `data:` address for a picture on a paper; it holds the opaque code and nothing else."""
    return segno.make(code, error="m", micro=False).svg_data_uri(border=2, xmldecl=False)


def manifest_render(paper: ManifestPaper) -> RenderedPaper:
    """The manifest as PDF; equal papers give equal bytes."""
    context = {
        "paper": paper,
        "paper_size": paper.supplier.paper_size,
        "paper_name": "Manifest",
        "paper_number": paper.number,
        "paper_date": paper.issued_at,
        "company_name": paper.supplier.name,
        "company_lines": paper.supplier.lines,
        "cautions": SITE_CAUTIONS,
        "engine_note": paper.engine_note,
        "qr": qr_address(paper.code) if paper.code else "",
    }
    from framing.common.documents import render_paper  # loads the PDF library: a second, and only here

    return render_paper("pdf/manifest.html", context, issued_at=paper.issued_at)


def manifest_of(delivery: Delivery) -> ManifestPaper:
    """The manifest of a delivery, from its rows."""
    order = delivery.order
    quote = order.revision.quote
    revision = revision_by_pk(order.revision_id)
    return ManifestPaper(
        number=delivery.number,
        order_number=order.number,
        quote_number=offer_words(order),
        project=quote.project.name,
        builder=quote.project.builder.name,
        site=str(quote.project.site),
        contact=delivery.contact,
        notes=delivery.notes,
        planned_for=delivery.planned_for,
        issued_at=delivery.created_at,
        units=quote.project.units,
        trucks=tuple(
            PaperTruck(
                truck.number,
                float(truck.weight_lb),
                tuple(bundle_of(bundle) for bundle in truck.bundles.all()),
                tuple(
                    PaperCarton(c.number, c.title, tuple(content_words(c.contents)), float(c.weight_lb))
                    for c in truck.cartons.all()
                ),
            )
            for truck in truck_list(delivery)
        ),
        code=delivery.public_id,
        call_name=order.owner.name,
        engine_note=_engine_note(revision.engine_version, revision.catalogue_version),
        supplier=company(),
    )


def bundle_of(bundle: Bundle) -> PaperBundle:
    """A bundle's row as papers show it."""
    return PaperBundle(
        number=bundle.number,
        profile=bundle.profile,
        place=bundle.zone,
        marks=tuple(PaperMark(m.mark, m.count, m.length_16) for m in mark_counts(list(bundle.pieces.all()))),
        length_16=bundle.length_16,
        weight_lb=float(bundle.weight_lb),
        note=bundle.note,
        code=bundle.public_id,
    )


def manifest_of_package(package: PackageResult, *, name: str, issued_at: datetime) -> ManifestPaper:
    """The manifest that a package would get, without an order: no contact, no day, no code."""
    return ManifestPaper(
        number="Sample",
        order_number="",
        quote_number="",
        project=name,
        builder="",
        site="",
        contact="",
        notes="",
        planned_for=None,
        issued_at=issued_at,
        units=package.floors[0].plan.units,
        trucks=package_trucks(package),
        code="",
        call_name="",
        engine_note=_engine_note(package.engine_version, package.catalogue_version),
        supplier=company(),
    )


def package_trucks(package: PackageResult) -> tuple[PaperTruck, ...]:
    """The trucks of a bare engine result."""
    bundles = [
        PaperBundle(
            number=bundle.number,
            profile=bundle.profile,
            place=bundle.zone,
            marks=_marks((piece.length_16, piece.mark) for piece in bundle.pieces),
            length_16=bundle.length_16,
            weight_lb=bundle.weight_lb,
            note=bundle.note,
        )
        for bundle in package.bundles
    ]
    cartons = [
        PaperCarton(c.number, c.title, tuple(content_words(c.contents)), c.weight_lb) for c in package.cartons
    ]
    return tuple(
        PaperTruck(
            load.number,
            load.weight_lb,
            tuple(sorted((bundles[i] for i in load.bundles), key=lambda bundle: bundle.number)),
            tuple(sorted((cartons[i] for i in load.cartons), key=lambda carton: carton.number)),
        )
        for load in package.loads
    )


def _marks(lengths: Iterable[tuple[int, str]]) -> tuple[PaperMark, ...]:
    keys = sorted((-length, mark) for length, mark in lengths)
    return tuple(PaperMark(mark, len(list(same)), -length) for (length, mark), same in groupby(keys))


def tags_render(
    order: Order, *, issued_at: datetime, bundles: QuerySet[Bundle] | None = None
) -> RenderedPaper:
    """A tag a bundle (R36) on the company's usual stock: of all, or of some."""
    kind = ShopPaperKind.BUNDLE_TAGS
    wanted = None if bundles is None else set(bundles.values_list("code", flat=True))
    content = label_content(kind, order, stock_for(LabelUse.BUNDLE), 1)
    labels = [label for label in content["labels"] if wanted is None or label["code"] in wanted]
    title = f"{kind.label} of {order.number}"
    return labels_render(
        kind, content | {"labels": labels}, title=title, company=company().name, at=issued_at
    )


def _engine_note(engine: str, catalogue: str) -> str:
    return f"Counted by engine {engine} with catalogue {catalogue}."
