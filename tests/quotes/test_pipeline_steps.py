"""What comes next for a quote: one case a rule, in the order in which rules come before each other."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from quotes.pipeline_steps import Facts, Word, ago, next_step

TODAY = date(2026, 11, 28)
BID = Facts(stage="bid", today=TODAY, entered_on=TODAY - timedelta(days=4))
ISSUED = replace(BID, stage="issued", last_day=TODAY + timedelta(days=20))


def days_ago(days):
    return TODAY - timedelta(days=days)


def days_on(days):
    return TODAY + timedelta(days=days)


@pytest.mark.parametrize(
    ("facts", "words", "tone", "ours"),
    [
        (BID, "Ready to issue", "good", True),
        (replace(BID, revision=3), "Ready to issue as R3", "good", True),
        (replace(BID, word=Word.GRANTED), "Approved, ready to issue", "good", True),
        (replace(BID, word=Word.GRANTED, revision=2), "Approved, ready to issue as R2", "good", True),
        (replace(BID, word=Word.WAITS), "Waits for approval", "going", False),
        (replace(BID, word=Word.ASKED_BACK), "The manager asked back: answer", "care", True),
        (replace(BID, word=Word.REFUSED), "Approval refused: change the price", "bad", True),
        (replace(BID, word=Word.NEEDED), "Outside the limits: ask for approval", "care", True),
        (replace(BID, fits=False), "A member fails: change the floor or record a release", "bad", True),
        # a floor that fails comes before a price outside the limits, but not before a word that is asked for
        (
            replace(BID, fits=False, word=Word.NEEDED),
            "A member fails: change the floor or record a release",
            "bad",
            True,
        ),
        (replace(BID, fits=False, word=Word.WAITS), "Waits for approval", "going", False),
        # the builder waits: before anything of ours
        (replace(BID, word=Word.WAITS, unread=1), "Question from the builder unanswered", "care", True),
        (ISSUED, "Issued, not sent yet", "care", True),
        (replace(ISSUED, linked_on=days_ago(3)), "Link made 3 days ago, not opened yet", "going", False),
        (
            replace(ISSUED, linked_on=days_ago(3), opened_on=days_ago(1)),
            "Builder opened it yesterday, no answer",
            "going",
            False,
        ),
        (replace(ISSUED, opened_on=TODAY), "Builder opened it today, no answer", "going", False),
        (replace(ISSUED, last_day=days_on(4)), "Issued, not sent yet", "care", True),
        (replace(ISSUED, last_day=days_on(3)), "Lapses in 3 days, not sent yet", "care", True),
        (
            replace(ISSUED, last_day=days_on(2), linked_on=days_ago(9)),
            "Lapses in 2 days, not opened yet",
            "care",
            True,
        ),
        (
            replace(ISSUED, last_day=days_on(1), opened_on=days_ago(5)),
            "Lapses tomorrow night, builder opened it 5 days ago",
            "care",
            True,
        ),
        (
            replace(ISSUED, last_day=TODAY, opened_on=days_ago(1)),
            "Lapses tonight, builder opened it yesterday",
            "care",
            True,
        ),
        (replace(ISSUED, last_day=days_ago(1)), "Its last day is over; it lapses by itself", "care", True),
        (replace(ISSUED, not_arrived=1, last_day=TODAY), "A mail did not arrive: send again", "bad", True),
        (replace(ISSUED, not_arrived=2), "2 mails did not arrive: send again", "bad", True),
        (
            replace(ISSUED, not_arrived=1, unread=2, last_day=TODAY),
            "2 messages from the builder unanswered",
            "care",
            True,
        ),
        (
            replace(BID, stage="booked", by="Rae Winter", entered_on=days_ago(1)),
            "Accepted by Rae Winter yesterday",
            "good",
            False,
        ),
        (replace(BID, stage="booked"), "Accepted 4 days ago", "good", False),
        (replace(BID, stage="booked", unread=1), "Question from the builder unanswered", "care", True),
        (
            replace(BID, stage="declined", lost="The price"),
            "Declined 4 days ago: the price",
            "plain",
            False,
        ),
        (replace(BID, stage="declined"), "Declined 4 days ago", "plain", False),
        (replace(BID, stage="lapsed"), "Lapsed 4 days ago: ask why, or revise", "plain", True),
        (
            replace(BID, stage="lapsed", lost="Another material"),
            "Lapsed 4 days ago: another material",
            "plain",
            False,
        ),
    ],
)
def test_the_next_step(facts, words, tone, ours):
    step = next_step(facts)
    assert (step.words, step.tone, step.ours) == (words, tone, ours)


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (-1, "today"), (0, "today"), (1, "yesterday"), (2, "2 days ago"), (20, "20 days ago"), (21, "3 weeks ago"),
        (89, "12 weeks ago"), (90, "3 months ago"), (364, "12 months ago"),
    ],
)  # fmt: skip
def test_days_as_people_say_them(days, words):
    assert ago(days_ago(days), TODAY) == words
