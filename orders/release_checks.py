"""What must stand before an order goes to the shop (R44): facts in, one line a condition out. Pure; no sums of money.

Planners release and see no prices, so no line names an amount; the deposit's figures stand with the deposits.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum


class Drawings(StrEnum):
    """How far the drawings are."""

    NOT_SENT = "not_sent"
    ASKED = "asked"
    REFUSED = "refused"
    APPROVED = "approved"


@dataclass(frozen=True, slots=True)
class ReleaseFacts:
    """What the checklist is read from.

    `drawings_word` is who approved, or what the builder wants changed; `change` names an open change order.
    """

    drawings: Drawings
    drawings_word: str
    deposit_needed: Decimal
    deposit_received: Decimal
    fits: bool
    release_reason: str
    change: str
    held: bool
    site: str
    deliver_on: date | None


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One condition: `words` says how it stands, `todo` what to do where it is not met, `who` who can."""

    key: str
    title: str
    ok: bool
    words: str
    todo: str = ""
    who: str = ""


SELLER = "the order's seller or a manager"
APPROVER = "the order's seller, a planner or a manager"
HOLDER = "a planner or a manager"


def release_checks(facts: ReleaseFacts) -> tuple[CheckLine, ...]:
    """The checklist, always with the same lines in the same order."""
    return (
        _drawings(facts),
        _deposit(facts),
        _strength(facts),
        _change(facts),
        _held(facts),
        _site(facts),
        _day(facts),
    )


def _drawings(facts: ReleaseFacts) -> CheckLine:
    ok = facts.drawings is Drawings.APPROVED
    words, todo = {
        Drawings.APPROVED: (f"Approved by {facts.drawings_word}.", ""),
        Drawings.NOT_SENT: ("The drawings are not approved.", "Send them to the builder for approval."),
        Drawings.ASKED: (
            "The drawings are not approved; the builder has not answered.",
            "Ask him, and record what he says.",
        ),
        Drawings.REFUSED: (
            f"The drawings are not approved; the builder wants a change: “{facts.drawings_word}”",
            "Settle it with him, then send the drawings again.",
        ),
    }[facts.drawings]
    return CheckLine("drawings", "Drawings approved", ok, words, todo, "" if ok else APPROVER)


def _deposit(facts: ReleaseFacts) -> CheckLine:
    if facts.deposit_needed <= 0:
        return CheckLine("deposit", "Deposit received", True, "None is asked for.")
    if facts.deposit_received >= facts.deposit_needed:
        return CheckLine("deposit", "Deposit received", True, "Received in full.")
    words = "The deposit is there in part." if facts.deposit_received else "The deposit is not there."
    return CheckLine("deposit", "Deposit received", False, words, "Record it when it comes.", SELLER)


def _strength(facts: ReleaseFacts) -> CheckLine:
    title = "Every member passes"
    if facts.fits:
        return CheckLine("strength", title, True, "All checks pass.")
    if facts.release_reason:
        return CheckLine("strength", title, True, f"Released by the engineer: “{facts.release_reason}”")
    return CheckLine(
        "strength",
        title,
        False,
        "Members fail their checks and no engineer released them.",
        "Change the floor by a new offer, with the engineer's release where he gives one.",
        SELLER,
    )


def _change(facts: ReleaseFacts) -> CheckLine:
    title = "No change is open"
    if not facts.change:
        return CheckLine("change", title, True, "None is open.")
    words, todo = f"{facts.change} is open.", "Wait for the builder's answer, or withdraw the change."
    return CheckLine("change", title, False, words, todo, SELLER)


def _held(facts: ReleaseFacts) -> CheckLine:
    if not facts.held:
        return CheckLine("held", "Not held", True, "It is not held.")
    return CheckLine("held", "Not held", False, "The order is held.", "Resume it first.", HOLDER)


def _site(facts: ReleaseFacts) -> CheckLine:
    if facts.site.strip():
        return CheckLine("site", "Site known", True, facts.site)
    return CheckLine(
        "site", "Site known", False, "The site has no address.", "Write it on the project.", SELLER
    )


def _day(facts: ReleaseFacts) -> CheckLine:
    if facts.deliver_on is not None:
        day = facts.deliver_on
        return CheckLine("day", "Day on site known", True, f"{day:%B} {day.day}, {day.year}.")
    return CheckLine(
        "day", "Day on site known", False, "No day on site is set.", "Set the day on site.", SELLER
    )
