"""What comes next for a quote, in words: one pure function from facts (no database, no clock)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

from quotes.states import QuoteStage

SOON_DAYS: Final = 3


class Word(StrEnum):
    """Where the manager's word on a draft stands (R39)."""

    NONE_NEEDED = "none_needed"
    NEEDED = "needed"
    WAITS = "waits"
    ASKED_BACK = "asked_back"
    REFUSED = "refused"
    GRANTED = "granted"


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of a quote; days are the company's, `last_day` is the offer's.

    `linked_on` is when the newest link to the offer was made, `opened_on` when any was opened last. `fits` is false
    where a member of the offer or of an alternate fails its checks. `unread` counts the builder's messages that
    nobody marked as read, `not_arrived` mails that came back. `by` is who accepted, `lost` why it was lost.
    """

    stage: str
    today: date
    entered_on: date
    revision: int = 1
    word: Word = Word.NONE_NEEDED
    fits: bool = True
    unread: int = 0
    not_arrived: int = 0
    last_day: date | None = None
    linked_on: date | None = None
    opened_on: date | None = None
    by: str = ""
    lost: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """What comes next; `tone` is good, care, bad, going or plain; `ours` tells whether it is our turn."""

    words: str
    tone: str
    ours: bool


def next_step(facts: Facts) -> Step:
    """The most pressing thing of a quote: whoever waits for us first, then what ends soon, then what we wait for."""
    of = {QuoteStage.BID: _draft, QuoteStage.ISSUED: _offer}.get(QuoteStage(facts.stage), _answered)
    return _question(facts) or of(facts)


def _question(facts: Facts) -> Step | None:
    if not facts.unread:
        return None
    what = "Question" if facts.unread == 1 else f"{facts.unread} messages"
    return Step(f"{what} from the builder unanswered", "care", True)


_WORDS: Final = {
    Word.ASKED_BACK: Step("The manager asked back: answer", "care", True),
    Word.WAITS: Step("Waits for approval", "going", False),
    Word.REFUSED: Step("Approval refused: change the price", "bad", True),
    Word.NEEDED: Step("Outside the limits: ask for approval", "care", True),
}


def _draft(facts: Facts) -> Step:
    if facts.word in (Word.ASKED_BACK, Word.WAITS):
        return _WORDS[facts.word]
    if not facts.fits:
        return Step("A member fails: change the floor or record a release", "bad", True)
    if facts.word in _WORDS:
        return _WORDS[facts.word]
    what = "Approved, ready" if facts.word == Word.GRANTED else "Ready"
    return Step(f"{what} to issue{f' as R{facts.revision}' if facts.revision > 1 else ''}", "good", True)


def _offer(facts: Facts) -> Step:
    left = None if facts.last_day is None else (facts.last_day - facts.today).days
    if left is not None and left < 0:
        return Step("Its last day is over; it lapses by itself", "care", True)
    if facts.not_arrived:
        what = "A mail" if facts.not_arrived == 1 else f"{facts.not_arrived} mails"
        return Step(f"{what} did not arrive: send again", "bad", True)
    if left is not None and left <= SOON_DAYS:
        ends = {0: "Lapses tonight", 1: "Lapses tomorrow night"}.get(left, f"Lapses in {left} days")
        return Step(f"{ends}, {_seen(facts)}", "care", True)
    if facts.opened_on is not None:
        return Step(f"Builder opened it {ago(facts.opened_on, facts.today)}, no answer", "going", False)
    if facts.linked_on is not None:
        return Step(f"Link made {ago(facts.linked_on, facts.today)}, not opened yet", "going", False)
    return Step("Issued, not sent yet", "care", True)


def _seen(facts: Facts) -> str:
    if facts.opened_on is not None:
        return f"builder opened it {ago(facts.opened_on, facts.today)}"
    return "not opened yet" if facts.linked_on is not None else "not sent yet"


def _answered(facts: Facts) -> Step:
    when = ago(facts.entered_on, facts.today)
    if facts.stage == QuoteStage.BOOKED:
        return Step(f"Accepted {f'by {facts.by} ' if facts.by else ''}{when}", "good", False)
    if facts.stage == QuoteStage.DECLINED:
        why = f": {facts.lost[0].lower()}{facts.lost[1:]}" if facts.lost else ""
        return Step(f"Declined {when}{why}", "plain", False)
    if facts.lost:
        return Step(f"Lapsed {when}: {facts.lost[0].lower()}{facts.lost[1:]}", "plain", False)
    return Step(f"Lapsed {when}: ask why, or revise", "plain", True)


def ago(day: date, today: date) -> str:
    """A day as people say it: today, yesterday, 5 days ago, 3 weeks ago, 4 months ago."""
    days = (today - day).days
    if days <= 0:
        return "today"
    if days == 1:
        return "yesterday"
    if days < 21:
        return f"{days} days ago"
    return f"{days // 7} weeks ago" if days < 90 else f"{days // 30} months ago"
