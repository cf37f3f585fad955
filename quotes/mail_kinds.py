"""The kinds of mail about a quote and its order, with their first words; the company may change words, not the list."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from framing.common.mail_words import MailKind

SENT: Final = "quote_sent"
REMINDER: Final = "quote_reminder"
QUESTION: Final = "question"
ANSWER: Final = "answer"
DRAWINGS: Final = "drawings_sent"

_QUOTE: Final = {
    "builder": "the builder's company",
    "project": "the project's name",
    "quote": "the quote's number with its revision",
    "total": "the total with tax; of the base offer where there are alternates",
    "valid_until": "the last day of the offer",
    "seller": "who owns the quote here",
    "company": "our company's name",
    "phone": "our telephone number",
}
_PERSON: Final = {"name": "the person who gets the mail"}

KINDS: Final[Mapping[str, MailKind]] = {
    kind.name: kind
    for kind in (
        MailKind(
            SENT,
            "Quote sent",
            {
                **_PERSON,
                **_QUOTE,
                "word": "what the seller adds by hand; nothing if he adds nothing",
                "link": "the way to the quote, made for this person",
            },
            "Quote {quote}: steel floor joists for {project}",
            "Dear {name},\n\nhere is our quote {quote} for the floors of {project}: {total} with freight and tax."
            " It holds to the end of {valid_until}.\n\n{word}\n\n{link}\n\nThe link is yours alone. It shows drawings"
            " and prices, and lets you ask, accept or decline.\n\n{seller}\n{company}, {phone}",
            needs=("link",),
        ),
        MailKind(
            REMINDER,
            "Reminder",
            {
                **_PERSON,
                **_QUOTE,
                "word": "what the seller adds by hand",
                "link": "a second link for this person; the first one stays",
            },
            "Quote {quote} holds to the end of {valid_until}",
            "Dear {name},\n\nour quote {quote} for {project} at {total} holds to the end of {valid_until}; after that"
            " it ends by itself.\n\n{word}\n\n{link}\n\nThe link is yours alone; the one that we sent before works too."
            " Behind it you accept, ask, or decline, and then no more mails like this one come.\n\n"
            "{seller}\n{company}, {phone}",
            needs=("link",),
        ),
        MailKind(
            QUESTION,
            "Question from a builder, to us",
            {
                **_PERSON,
                **_QUOTE,
                "writer": "who asks",
                "question": "what he asks",
                "page": "the address of the quote's page here",
            },
            "{writer} asks about {quote}, {project}",
            "{writer} of {builder} asks:\n\n{question}\n\nAnswer on the quote's page, or by a reply to this mail:\n"
            "{page}",
            needs=("question",),
        ),
        MailKind(
            ANSWER,
            "Answer to the builder",
            {**_PERSON, **_QUOTE, "writer": "who answers", "answer": "what he answers"},
            "About quote {quote}, {project}",
            "Dear {name},\n\n{answer}\n\n{writer}\n{company}, {phone}\n\nThe quote stands at the link that we sent"
            " you. You may also reply to this mail.",
            needs=("answer",),
        ),
        MailKind(
            DRAWINGS,
            "Drawings for approval",
            {
                **_PERSON,
                **_QUOTE,
                "order": "the order's number",
                "word": "what the sender adds by hand; nothing if he adds nothing",
                "link": "the way to the order and its drawings, made for this person",
            },
            "Order {order}: drawings of {project} to approve",
            "Dear {name},\n\nhere are the drawings of the floors of {project}, order {order}. We cut and roll what they"
            " show, so please look at them closely.\n\n{word}\n\n{link}\n\nThe link is yours alone. Behind it you say"
            " that the drawings are right, or what must change; we begin after your yes.\n\n"
            "{seller}\n{company}, {phone}",
            needs=("link",),
            button="Open the drawings",
        ),
    )
}
