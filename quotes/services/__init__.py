"""What can happen to a quote: a service a verb, a transaction a service."""

from quotes.services.accepting import quote_accept, quote_decline, quotes_lapse_due
from quotes.services.approvals import approval_ask, approval_decide
from quotes.services.drafting import draft_reprice, quote_create, revision_change, revision_revise
from quotes.services.issuing import revision_issue
from quotes.services.links import quote_link_make, quote_link_withdraw
from quotes.services.price_books import price_book_import

__all__ = [
    "approval_ask",
    "approval_decide",
    "draft_reprice",
    "price_book_import",
    "quote_accept",
    "quote_create",
    "quote_decline",
    "quote_link_make",
    "quote_link_withdraw",
    "quotes_lapse_due",
    "revision_change",
    "revision_issue",
    "revision_revise",
]
