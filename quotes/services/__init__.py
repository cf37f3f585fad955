"""What can happen to a quote: a service a verb, a transaction a service."""

from quotes.services.accepting import quote_accept, quotes_lapse_due
from quotes.services.alternate_frames import Choice
from quotes.services.alternates import alternate_add, alternate_remove, alternate_rename
from quotes.services.approvals import (
    approval_answer,
    approval_ask,
    approval_decide,
    approval_question,
)
from quotes.services.changing import change_draft, change_end, design_agreed, tell_change_holder
from quotes.services.drafting import draft_reprice, quote_create, revision_change, revision_revise
from quotes.services.issuing import revision_issue
from quotes.services.links import quote_link_make, quote_link_withdraw
from quotes.services.losing import lost_name, quote_decline
from quotes.services.price_books import (
    price_book_change,
    price_book_discard,
    price_book_draft,
    price_book_give_back,
    price_book_import,
    price_book_put_in_force,
    price_book_send,
)
from quotes.services.reminding import (
    quote_remind,
    quote_remind_preview,
    reminders_due,
    reminders_switch,
)
from quotes.services.sending import quote_preview, quote_send, revision_issue_and_send
from quotes.services.thread import TakenIn, mail_take_in, thread_answer, thread_ask, thread_seen

__all__ = [
    "Choice",
    "TakenIn",
    "alternate_add",
    "alternate_remove",
    "alternate_rename",
    "approval_answer",
    "approval_ask",
    "approval_decide",
    "approval_question",
    "change_draft",
    "change_end",
    "design_agreed",
    "draft_reprice",
    "lost_name",
    "mail_take_in",
    "price_book_change",
    "price_book_discard",
    "price_book_draft",
    "price_book_give_back",
    "price_book_import",
    "price_book_put_in_force",
    "price_book_send",
    "quote_accept",
    "quote_create",
    "quote_decline",
    "quote_link_make",
    "quote_link_withdraw",
    "quote_preview",
    "quote_remind",
    "quote_remind_preview",
    "quote_send",
    "quotes_lapse_due",
    "reminders_due",
    "reminders_switch",
    "revision_change",
    "revision_issue",
    "revision_issue_and_send",
    "revision_revise",
    "tell_change_holder",
    "thread_answer",
    "thread_ask",
    "thread_seen",
]
