"""The quote as a paper (R43): what it shows, its sections, and the bound PDF."""

from quotes.documents.alternates import PaperAlternate
from quotes.documents.content import (
    EXCLUDED,
    PAPER_KIND,
    PaperFloor,
    PaperGroup,
    PaperLine,
    QuoteHeader,
    QuotePaper,
    ScheduleRow,
    framing_words,
    quote_paper_of_package,
    quote_paper_of_revision,
    shown_quantity,
)
from quotes.documents.rendering import render_quote

__all__ = [
    "EXCLUDED",
    "PAPER_KIND",
    "PaperAlternate",
    "PaperFloor",
    "PaperGroup",
    "PaperLine",
    "QuoteHeader",
    "QuotePaper",
    "ScheduleRow",
    "framing_words",
    "quote_paper_of_package",
    "quote_paper_of_revision",
    "render_quote",
    "shown_quantity",
]
