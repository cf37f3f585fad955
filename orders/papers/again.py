"""The tag or label of what replaces something that a claim found (R49): nothing else of its order is printed anew."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Final

from framing.common.company import company
from orders.models import Bundle, Claim
from orders.papers.contents import label_content
from orders.papers.order_rows import rows_of
from orders.papers.reads import stock_for
from orders.papers.sheets import labels_render
from orders.states import LABEL_PAPERS, ShopPaperKind

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

PAPER: Final = "again_label"
"""Kind of the stored paper, and of the work that makes it; its subject is the claim."""


def again_render(claim: Claim, *, issued_at: datetime) -> RenderedPaper | None:
    """The tag of the bundle that is made again, or the label of the carton that is packed again, on the usual stock.

    None where a claim has neither, or its bundle holds nothing that is wanted.
    """
    made = claim.replacement or claim.replacement_carton
    if made is None:
        return None
    kind = ShopPaperKind.BUNDLE_TAGS if isinstance(made, Bundle) else ShopPaperKind.CARTON_LABELS
    content = label_content(kind, rows_of(claim.order), stock_for(LABEL_PAPERS[kind]), 1)
    labels = [label for label in content["labels"] if label["code"] == made.code]
    if not labels:
        return None
    title = f"{kind.label} of {claim.order.number}, claim {claim.number}"
    return labels_render(
        kind, content | {"labels": labels}, title=title, company=company().name, at=issued_at
    )


def again_name(claim: Claim) -> str:
    """Such as `label-C-2026-0003.pdf`."""
    return f"label-{claim.number}.pdf"
