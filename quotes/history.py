"""The history of a quote as sentences people say, from the audit trail."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from framing.common.audit import audit_list
from framing.common.models import AuditEntry
from framing.common.templatetags.figures import money, percent
from framing.common.zones import day_words
from quotes.mail_kinds import REMINDER
from quotes.models import LostReason, Quote, QuoteRevision

Change = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Line:
    """One line: a sentence without its full stop, the reason given, and when."""

    words: str
    why: str
    at: datetime


def history(quote: Quote, revisions: list[QuoteRevision]) -> list[Line]:
    """What happened to the quote and its revisions, newest first."""
    entries = list(audit_list(quote))
    for revision in revisions:
        entries.extend(audit_list(revision))
    entries.sort(key=lambda entry: entry.pk, reverse=True)
    currency = revisions[0].currency
    return [
        Line(f"{entry.actor_name} {deed_words(entry, currency)}", entry.why, entry.at) for entry in entries
    ]


def deed_words(entry: AuditEntry, currency: str) -> str:
    """What was done, to go after the name of who did it: “issued revision 2 at $6,599.28”."""
    say = _DEEDS.get(entry.verb)
    return say(entry, currency) if say else entry.verb.replace("_", " ")


def _amount(value: Any, currency: str) -> str:
    """An amount of the trail, which keeps one figure or [before, after]."""
    last = value[-1] if isinstance(value, list) else value
    return money(Decimal(last), currency)


def _at_total(words: str) -> Callable[[AuditEntry, str], str]:
    return lambda entry, currency: f"{words} at {_amount(entry.change['total'], currency)}"


def _from_to(name: str, pair: Any, show: Callable[[Any], str]) -> str:
    before, after = (show(each) for each in pair)
    return f"{name} stays {after}" if before == after else f"{name} from {before} to {after}"


def _repriced(entry: AuditEntry, currency: str) -> str:
    moved = _from_to("total", entry.change["total"], lambda value: money(Decimal(value), currency))
    return f"designed and priced the draft anew: {moved}{_left_out(entry)}"


def _left_out(entry: AuditEntry) -> str:
    """Alternates that could not be framed on the new floors."""
    left: list[str] = entry.change.get("alternates_left_out", [])
    return "; left out " + "; ".join(left) if left else ""


def _changed(entry: AuditEntry, currency: str) -> str:
    return "changed the draft: " + ", ".join(_draft_parts(entry.change, currency))


def _draft_parts(change: Change, currency: str) -> list[str]:
    shown: dict[str, tuple[str, Callable[[Any], str]]] = {
        "discount_share": ("discount", percent),
        "lead_time_days": ("lead time", lambda value: f"{value} days"),
        "total": ("total", lambda value: money(Decimal(value), currency)),
    }
    parts = ["other terms"] if "terms" in change else []
    parts += ["discounts of single lines"] if "line_discounts" in change else []
    return parts + [_from_to(name, change[key], show) for key, (name, show) in shown.items() if key in change]


def _issued(entry: AuditEntry, currency: str) -> str:
    until = date.fromisoformat(entry.change["valid_until"])
    total = _amount(entry.change["total"], currency)
    return f"issued revision {entry.change['revision']} at {total}, valid to the end of {day_words(until)}"


def _revised(entry: AuditEntry, currency: str) -> str:
    moved = _from_to("total", entry.change["total"], lambda value: money(Decimal(value), currency))
    return f"opened revision {entry.change['revision'][-1]}: {moved}{_left_out(entry)}"


def _answered(entry: AuditEntry, who: str, deed: str) -> str:
    """A builder's own answer, or one that came by phone and was written down by staff."""
    return deed if entry.link_id else f"recorded that {who} {deed}"


def _accepted(entry: AuditEntry, currency: str) -> str:
    total = _amount(entry.change["total"], currency)
    which = f"alternate {entry.change['alternate']} of " if "alternate" in entry.change else ""
    deed = f"accepted {which}revision {entry.change['revision']} at {total}"
    return _answered(entry, entry.change["name"], deed)


def _declined(entry: AuditEntry, currency: str) -> str:
    del currency
    return _answered(entry, "the builder", f"declined revision {entry.change['revision']}{_lost_for(entry)}")


def _lost_for(entry: AuditEntry) -> str:
    """“: the price”; nothing for another reason, which speaks by its words."""
    reason = entry.change.get("reason", LostReason.OTHER)
    return "" if reason == LostReason.OTHER else f": {LostReason(reason).label.lower()}"


def _lapsed(entry: AuditEntry, currency: str) -> str:
    del currency
    return f"ended the offer: nobody answered revision {entry.change['revision']} in time"


def _alternate(entry: AuditEntry, label: str) -> str:
    return f"alternate {entry.change['letter']} “{label}”"


def _alternate_added(entry: AuditEntry, currency: str) -> str:
    total = _amount(entry.change["total"], currency)
    return f"added {_alternate(entry, entry.change['label'])} at {total}"


def _alternate_renamed(entry: AuditEntry, currency: str) -> str:
    del currency
    before, after = entry.change["label"]
    return f"renamed {_alternate(entry, before)} to “{after}”"


def _sent(entry: AuditEntry, _: str) -> str:
    people = ", ".join(entry.change["to"])
    if entry.change.get("kind") != REMINDER:
        return f"mailed the offer to {people}"
    days = entry.change.get("days")
    if days is None:
        return f"reminded {people}"
    when = f"{days} day{'' if days == 1 else 's'} before the last day" if days else "on the last day"
    return f"reminded {people}, {when} of the offer"


_DEEDS: Mapping[str, Callable[[AuditEntry, str], str]] = {
    "quote_create": _at_total("drew up the quote"),
    "draft_reprice": _repriced,
    "revision_change": _changed,
    "alternate_add": _alternate_added,
    "alternate_rename": _alternate_renamed,
    "alternate_remove": lambda entry, _: f"took away {_alternate(entry, entry.change['label'])}",
    "approval_ask": _at_total("asked for approval"),
    "approval_grant": _at_total("approved the draft"),
    "approval_refuse": _at_total("refused to approve the draft"),
    "approval_question": lambda *_: "asked the seller back before deciding",
    "approval_answer": lambda *_: "answered the manager's question",
    "revision_issue": _issued,
    "revision_revise": _revised,
    "change_draft": lambda entry, currency: f"{_revised(entry, currency)}, as a change of the order",
    "change_end": lambda entry, _: f"took back the change in revision {entry.change['revision']}",
    "quote_send": _sent,
    "reminders_switch": lambda entry, _: (
        "let reminders go out again" if entry.change["on"] else "switched reminders off"
    ),
    "thread_ask": lambda *_: "wrote to the seller",
    "thread_answer": lambda *_: "wrote to the builder",
    "thread_seen": lambda *_: "marked the builder's messages as read",
    "quote_accept": _accepted,
    "quote_decline": _declined,
    "quote_lapse": _lapsed,
    "lost_name": lambda entry, _: f"named why revision {entry.change['revision']} was lost{_lost_for(entry)}",
}
