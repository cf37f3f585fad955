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
ORDER_BOOKED: Final = "order_booked"
ORDER_RELEASED: Final = "order_released"
DELIVERY_PLANNED: Final = "delivery_planned"
DELIVERY_MOVED: Final = "delivery_moved"
DELIVERY_DROPPED: Final = "delivery_dropped"
DELIVERY_LOADED: Final = "delivery_loaded"
DELIVERY_RECEIVED: Final = "delivery_received"
CLAIM_OPENED: Final = "claim_opened"
CLAIM_DECIDED: Final = "claim_decided"
ORDER_NEWS: Final = "order_news"

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
_ORDER: Final = {**_PERSON, **_QUOTE, "order": "the order's number", "site": "the site's address"}
_DELIVERY: Final = {
    **_ORDER,
    "delivery": "the delivery's number",
    "day": "its day on site, with the window where one is agreed",
    "link": "the way to the delivery, made for this person",
}
_CLAIM: Final = {
    **_ORDER,
    "claim": "the claim's number and what it is on",
    "words": "what was reported",
    "state": "what became of it",
}
_GREETING: Final = "Dear {name},\n\n"
_SIGNED: Final = "\n\n{seller}\n{company}, {phone}"

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
        MailKind(
            ORDER_BOOKED,
            "Order booked",
            _ORDER,
            "Order {order}: {project} is booked",
            f"{_GREETING}thank you. Your order for {{project}} is booked as {{order}}. Before we cut steel we ask you"
            f" to approve the drawings.{_SIGNED}",
        ),
        MailKind(
            ORDER_RELEASED,
            "Order released to the shop",
            _ORDER,
            "Order {order}: your joists go to the shop",
            f"{_GREETING}order {{order}} for {{project}} is released: our shop rolls it as the approved drawings show."
            f" What changes from now on is a change order.{_SIGNED}",
        ),
        MailKind(
            DELIVERY_PLANNED,
            "Delivery planned",
            _DELIVERY,
            "{project}: delivery {delivery} on {day}",
            f"{_GREETING}joists for {{project}} come on {{day}}, delivery {{delivery}}, to {{site}}.\n\n{{link}}\n\n"
            f"Behind the link stands what comes, and on the day you tick it off there.{_SIGNED}",
            button="Open the delivery",
        ),
        MailKind(
            DELIVERY_MOVED,
            "Delivery moved",
            _DELIVERY | {"why": "why it was moved"},
            "{project}: delivery {delivery} now comes on {day}",
            f"{_GREETING}delivery {{delivery}} for {{project}} now comes on {{day}}. The reason: {{why}}\n\n"
            f"If that does not suit you, call us.{_SIGNED}",
            needs=("day",),
            button="Open the delivery",
        ),
        MailKind(
            DELIVERY_DROPPED,
            "Delivery dropped",
            {name: words for name, words in _DELIVERY.items() if name != "link"}
            | {"why": "why it was dropped"},
            "{project}: delivery {delivery} on {day} does not come",
            f"{_GREETING}delivery {{delivery}} for {{project}}, planned for {{day}}, does not come. The reason:"
            f" {{why}}\n\nWhat was on it comes with another delivery; we tell you when.{_SIGNED}",
            needs=("delivery",),
        ),
        MailKind(
            DELIVERY_LOADED,
            "Delivery on its way",
            _DELIVERY,
            "{project}: delivery {delivery} is loaded",
            f"{_GREETING}delivery {{delivery}} for {{project}} is loaded and comes on {{day}}.\n\n{{link}}\n\n"
            "Please have somebody there who unloads, ticks off what comes, and signs. Report what is short or damaged"
            f" at once; it costs nothing then.{_SIGNED}",
            button="Open the delivery",
        ),
        MailKind(
            DELIVERY_RECEIVED,
            "Delivery received",
            _DELIVERY | {"received_by": "who signed for it"},
            "{project}: delivery {delivery} was received",
            f"{_GREETING}delivery {{delivery}} for {{project}} was received by {{received_by}}. Joists are not stable"
            f" until they are braced and sheathed.{_SIGNED}",
            button="Open the delivery",
        ),
        MailKind(
            CLAIM_OPENED,
            "Claim opened",
            _CLAIM,
            "{project}: your claim {claim}",
            f"{_GREETING}we have your claim {{claim}}: {{words}}\n\nWe look into it and tell you what comes of it."
            f"{_SIGNED}",
        ),
        MailKind(
            CLAIM_DECIDED,
            "Claim decided",
            _CLAIM | {"why": "the reason; nothing where none was given"},
            "{project}: your claim {claim} is {state}",
            f"{_GREETING}your claim {{claim}} is {{state}}.\n\n{{why}}{_SIGNED}",
            needs=("state",),
        ),
        MailKind(
            ORDER_NEWS,
            "Notice of an order, to us",
            _ORDER | {"what": "what happened", "page": "the address of its page here"},
            "Order {order}, {project}: {what}",
            "Order {order}, {project} for {builder}: {what}.\n\n{page}",
            needs=("what",),
        ),
    )
}

NOTICE_KINDS: Final = (
    ORDER_BOOKED, ORDER_RELEASED, DELIVERY_PLANNED, DELIVERY_MOVED, DELIVERY_DROPPED, DELIVERY_LOADED,
    DELIVERY_RECEIVED, CLAIM_OPENED, CLAIM_DECIDED, ORDER_NEWS,
)  # fmt: skip
"""Mails that a move of an order sends by itself, where the company wants it."""
