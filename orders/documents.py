"""Papers of the load: manifest (R48) and bundle tags (R36), from rows or from a bare engine result."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import groupby
from typing import TYPE_CHECKING

import segno
from django.conf import settings
from django.db.models import QuerySet

from framing.common.cautions import SITE_CAUTIONS
from framing.common.company import company
from framing.drawing.svg import svg_address
from orders.manifest_facts import BundleLine, CartonLine, Manifest, MarkLine, engine_note
from orders.models import Bundle, Order
from orders.papers.codes import door_of
from orders.papers.contents import label_content
from orders.papers.order_rows import rows_of
from orders.papers.reads import stock_for
from orders.papers.sheets import labels_render
from orders.selectors import content_words
from orders.states import LabelUse, ShopPaperKind
from quotes.snapshots import PackageResult

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper


def qr_address(code: str) -> str:
    """A QR code as a `data:` address for a picture on a paper; it holds the opaque code and nothing else."""
    return segno.make(code, error="m", micro=False).svg_data_uri(border=2, xmldecl=False)


def manifest_render(manifests: Sequence[Manifest]) -> RenderedPaper:
    """Manifests of one delivery as one PDF, each truck on a sheet of its own; equal facts give equal bytes."""
    first, supplier = manifests[0], company()
    context = {
        "trucks": [_sheet(one) for one in manifests],
        "paper_size": supplier.paper_size,
        "paper_name": "Manifest",
        "paper_number": first.number,
        "paper_date": first.issued_at,
        "company_name": supplier.name,
        "company_lines": supplier.lines,
    }
    from framing.common.documents import render_paper  # loads the PDF library: a second, and only here

    return render_paper("pdf/manifest.html", context, issued_at=first.issued_at)


def _sheet(one: Manifest) -> dict[str, object]:
    """A manifest with its pictures: the code of its first thing leads to the door that every tag has."""
    codes = [*(line.code for line in one.bundles), *(line.code for line in one.cartons)]
    code = next(filter(None, codes), "")
    return {
        "m": one,
        "qr": qr_address(f"{door_of(settings.PUBLIC_URL)}{code}/") if code else "",
        "sketches": [svg_address(part) for part in one.sheets],
    }


def manifest_of_package(package: PackageResult, *, name: str, issued_at: datetime) -> tuple[Manifest, ...]:
    """The manifests that a package would get, without an order: no contact, no day, no code; a truck each."""
    bundles, cartons = _sample_bundles(package), _sample_cartons(package)
    return tuple(
        Manifest(
            number=f"Sample-{load.number}", draft=True, delivery="", load=load.number, trip="", truck="",
            driver="", driver_phone="", stop=0, stops=0, order="", quote="", project=name, builder="", site="",
            zone="", contact="", phone="", planned_for=None, window_from=None, window_to=None, notes="", gear="",
            gear_limit_lb=None, units=package.floors[0].plan.units,
            bundles=tuple(sorted((bundles[i] for i in load.bundles), key=lambda line: line.off)),
            cartons=tuple(sorted((cartons[i] for i in load.cartons), key=lambda line: line.off)),
            weight_lb=load.weight_lb, warnings=(), hold=None, sketch="", code="", call_name="", call_phone="",
            cautions=SITE_CAUTIONS,
            engine_note=engine_note(package.engine_version, package.catalogue_version), issued_at=issued_at,
        )
        for load in package.loads
    )  # fmt: skip


def _sample_bundles(package: PackageResult) -> list[BundleLine]:
    return [
        BundleLine(
            id="",
            code="",
            number=bundle.number,
            profile=bundle.profile,
            place=bundle.zone,
            floors=(),
            marks=_marks((piece.length_16, piece.mark) for piece in bundle.pieces),
            length_16=bundle.length_16,
            weight_lb=bundle.weight_lb,
            note=bundle.note,
            off=bundle.number,
        )
        for bundle in package.bundles
    ]


def _sample_cartons(package: PackageResult) -> list[CartonLine]:
    after = len(package.bundles)
    return [
        CartonLine("", "", c.number, c.title, tuple(content_words(c.contents)), c.weight_lb, after + c.number)
        for c in package.cartons
    ]


def _marks(lengths: Iterable[tuple[int, str]]) -> tuple[MarkLine, ...]:
    keys = sorted((-length, mark) for length, mark in lengths)
    return tuple(MarkLine(mark, len(list(same)), -length) for (length, mark), same in groupby(keys))


def tags_render(
    order: Order, *, issued_at: datetime, bundles: QuerySet[Bundle] | None = None
) -> RenderedPaper:
    """A tag a bundle (R36) on the company's usual stock: of all, or of some."""
    kind = ShopPaperKind.BUNDLE_TAGS
    wanted = None if bundles is None else set(bundles.values_list("code", flat=True))
    content = label_content(kind, rows_of(order), stock_for(LabelUse.BUNDLE), 1)
    labels = [label for label in content["labels"] if wanted is None or label["code"] in wanted]
    title = f"{kind.label} of {order.number}"
    return labels_render(
        kind, content | {"labels": labels}, title=title, company=company().name, at=issued_at
    )
