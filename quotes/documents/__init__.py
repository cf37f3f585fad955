"""The quote as a paper (R43): what it shows, its sections, and the bound PDF."""

from quotes.documents.alternates import PaperAlternate
from quotes.documents.content import (
    EXCLUDED,
    PAPER_KIND,
    PaperChange,
    PaperMoved,
    QuoteHeader,
    QuotePaper,
    quote_paper_of_package,
    quote_paper_of_revision,
)
from quotes.documents.floors import PaperFloor, ScheduleRow, framing_words
from quotes.documents.materials import PaperGroup, PaperLine, shown_quantity
from quotes.documents.rendering import render_quote

__all__ = [
    "EXCLUDED",
    "PAPER_KIND",
    "PaperAlternate",
    "PaperChange",
    "PaperFloor",
    "PaperGroup",
    "PaperLine",
    "PaperMoved",
    "QuoteHeader",
    "QuotePaper",
    "ScheduleRow",
    "framing_words",
    "quote_paper_of_package",
    "quote_paper_of_revision",
    "render_quote",
    "shown_quantity",
]
