"""A mail in given words with the figures of a real quote, for looking at before the words are kept."""

from __future__ import annotations

from framing.common.mail_letter import Letter
from framing.common.mail_templates import Words
from framing.common.mail_words import MailKind, Recipient
from quotes.models import QuoteRevision
from quotes.services.sending import quote_letter

_SAMPLE = {
    "word": "Here stands what the seller adds by hand.",
    "writer": "the person who writes",
    "question": "Here stands the question.",
    "answer": "Here stands the answer.",
    "order": "(the order's number)",
    "page": "(the address of the page)",
    "site": "(the site's address)",
    "delivery": "(the delivery's number)",
    "day": "(the day on site)",
    "why": "Here stands the reason.",
    "received_by": "(who signed)",
    "claim": "(the claim's number)",
    "words": "Here stands what was reported.",
    "state": "(what became of it)",
    "what": "(what happened)",
}


def sample_letter(kind: MailKind, words: Words) -> Letter | None:
    """The letter about the newest issued quote; None while there is none."""
    rows = QuoteRevision.objects.filter(issued_at__isnull=False).defer("floors", "result")
    revision = rows.select_related("quote__project__builder", "quote__owner").order_by("-issued_at").first()
    if revision is None:
        return None
    to = Recipient(revision.quote.project.builder.contact_name, "")
    return quote_letter(kind, revision, to, _SAMPLE, words).with_link(
        "(the link is made when the mail is sent)"
    )
