"""What the builder's page of a delivery shows, gathered into plain shapes, and what a telephone keeps of it."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.conf import settings
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _

from framing.common.cautions import SITE_CAUTIONS
from framing.common.company import company
from framing.common.models import AccessLink
from framing.common.papers import paper_get
from orders.claim_reads import claims_for_builder
from orders.manifest_facts import BundleLine
from orders.models import Delivery
from orders.phone_page import SHARED_FILES, line_words
from orders.release_reads import drawing_sets
from orders.site_language import LANGUAGES
from orders.site_plans import FloorPlace, floor_places, places_of_bundles
from orders.site_reads import SiteThing, open_things, photo_list, site_loads
from orders.site_terms import SiteTerms, site_terms, whom_to_call

KEPT_FILES: Final = (
    *SHARED_FILES,
    "orders/js/site.js",
    "orders/js/site_sheet.js",
    "orders/js/site_zoom.js",
    "framing/fonts/atkinson-hyperlegible-mono-latin-600-normal.woff2",
)
"""What the page needs without a line, beside itself and its pictures."""


@dataclass(frozen=True, slots=True)
class SiteRow:
    """One bundle or carton on the page; `places` are pictures on which it is lit, `marks` pairs as `J1:8`."""

    thing: SiteThing
    what: str
    places: str
    marks: str


def site_context(delivery: Delivery, link: AccessLink, at: datetime) -> dict[str, Any]:
    """All that the page shows."""
    supplier, terms = company(), site_terms(delivery, at)
    places = floor_places(delivery)
    lit = places_of_bundles(places)
    loads = [(load, [_row(one, lit) for one in load.things]) for load in site_loads(delivery)]
    project = delivery.order.revision.quote.project
    day = at.astimezone(ZoneInfo(project.site.time_zone)).date()
    return {
        **supplier.context,
        "supplier": supplier,
        "delivery": delivery,
        "order": delivery.order,
        "project": project,
        "units": project.units,
        "zone": project.site.time_zone,
        "link_id": link.public_id,
        "link": link,
        "at_s": f"{at.timestamp():.3f}",
        "terms": terms,
        "terms_key": terms_key(terms),
        "call": whom_to_call(delivery.order),
        "report_days": settings.SPANYARD_REPORT_DAYS,
        "today": delivery.planned_for == day,
        "any_left": any(load.row.loaded_at for load, _rows in loads),
        "unloaded": bool(loads) and all(load.row.unloaded_at for load, _rows in loads),
        "loads": loads,
        "things": sum(len(rows) for _load, rows in loads),
        "left": len(open_things(delivery)),
        "photos": photo_list(delivery),
        "places": place_addresses(link.public_id, places),
        "drawings": has_drawings(delivery),
        "cautions": SITE_CAUTIONS,
        "claims": claims_for_builder(delivery),
        "languages": LANGUAGES,
        "words": script_words(whom_to_call(delivery.order)),
        "addresses": _addresses(link.public_id),
        "new_id": uuid4,
    }


def terms_key(terms: SiteTerms) -> str:
    """Changes with what the page says and offers; a page that was made on other terms is loaded anew."""
    facts = (terms.left, terms.received_at, terms.signed_at, terms.reports, terms.ended)
    return hashlib.sha256(repr(facts).encode()).hexdigest()[:12]


def _row(thing: SiteThing, lit: dict[int, list[int]]) -> SiteRow:
    line = thing.line
    if isinstance(line, BundleLine):
        what = _("Bundle %(number)s") % {"number": line.number}
        marks = " ".join(f"{mark}:{count}" for mark, count in mark_counts(line).items())
        return SiteRow(thing, what, " ".join(str(place) for place in lit.get(line.number, ())), marks)
    return SiteRow(thing, _("Carton %(number)s") % {"number": f"C{line.number}"}, "", "")


def mark_counts(line: BundleLine) -> dict[str, int]:
    """How many pieces of each mark, whatever their length."""
    counts: dict[str, int] = {}
    for mark in line.marks:
        counts[mark.mark] = counts.get(mark.mark, 0) + mark.count
    return counts


def place_addresses(link_id: str, places: Iterable[FloorPlace]) -> list[dict[str, str]]:
    """Title and address of each picture, by the places' order."""
    return [
        {"title": one.title, "url": reverse("orders:your_where", args=[link_id, index, one.digest])}
        for index, one in enumerate(places)
    ]


def has_drawings(delivery: Delivery) -> bool:
    """Whether the order's drawings are there to be downloaded."""
    return newest_drawings(delivery) is not None


def newest_drawings(delivery: Delivery) -> Any:
    """The paper of the newest drawings that the builder was sent; None where there is none."""
    for one in drawing_sets(delivery.order):
        if one.sent_by_id or one.link_id:
            paper = paper_get("order_drawings", one)
            if paper is not None:
                return paper
    return None


def _addresses(link_id: str) -> dict[str, str]:
    names = {"acts": "your_acts", "photos": "your_photo_take", "worker": "your_worker"}
    return {key: reverse(f"orders:{name}", args=[link_id]) for key, name in names.items()}


def kept_files() -> list[str]:
    """Addresses of what the worker keeps."""
    return [static(name) for name in KEPT_FILES]


def script_words(call: str) -> dict[str, str]:
    """What the page's script says; `call` is whom to call."""
    return {
        **line_words(),
        "ended": _(
            "This link has run out. Call %(call)s for a new one; opened on this phone, it sends what waits here."
        )
        % {"call": call},
        "open": _("Not ticked"),
        "received": _("Received"),
        "short": _("Short"),
        "damaged": _("Damaged"),
        "wrong": _("Wrong"),
        "tick": _("Tick"),
        "untick": _("Take the tick back"),
        "sign": _("Signature"),
        "left": _("%s not ticked yet"),
        "seen": _("%s seen to"),
        "larger": _("Larger"),
        "smaller": _("Smaller"),
        "ready": _("Everything is ticked or reported. Sign now."),
        "first": _("Tick each one, or report it short, damaged or wrong; then sign."),
        "signed": _("Signed. It goes out as soon as there is a line."),
        "strange": _("This code is not of this delivery. Check its twelve signs."),
        "ticked": _("ticked."),
        "camera": _("The camera can't be used. Type the code."),
        "photos": _("%s photos"),
        "nopicture": _("The picture is not on this phone. It shows again as soon as there is a line."),
    }
