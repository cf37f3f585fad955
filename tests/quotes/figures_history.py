"""Quotes with a history of one's own choosing, written row by row: figures need many, and their figures exact."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import count
from typing import Any
from zoneinfo import ZoneInfo

from framing.common.models import Role, User
from framing.common.zones import end_of_day
from framing.projects.models import PracticeSet, Project
from quotes.models import Acceptance, Alternate, LostOffer, PriceBook, Quote, QuoteMove, QuoteRevision
from tests.factories import people, projects, quotes

ZONE = ZoneInfo("America/Edmonton")
NOON = 12
_numbers = count(1)


def local(month: int, day: int, hour: int = NOON, *, year: int = 2026) -> datetime:
    """An instant by the clocks of the company's zone."""
    return datetime(year, month, day, hour, tzinfo=ZONE)


@dataclass(frozen=True, slots=True)
class Ground:
    """What every quote stands on: a book, a practice set, a project a seller."""

    book: PriceBook
    practice: PracticeSet

    @staticmethod
    def lay() -> Ground:
        revision = quotes.draft()
        return Ground(revision.price_book, revision.practice_set)


def seller(team: str, name: str = "") -> User:
    return people.user(Role.SELLER, team=team, name=name)


def project_of(owner: User) -> Project:
    return Project.objects.filter(owner=owner).first() or projects.project(owner)


class Told:
    """One quote told move by move; each step has its instant."""

    def __init__(self, ground: Ground, owner: User, at: datetime, currency: str = "USD") -> None:
        self.ground, self.owner, self.currency = ground, owner, currency
        self.quote = Quote.objects.create(
            number=f"H-{next(_numbers):05d}",
            project=project_of(owner),
            owner=owner,
            stage="bid",
            created_at=at,
        )
        self._move("bid", at)

    def _move(self, to: str, at: datetime) -> None:
        QuoteMove.objects.create(quote=self.quote, at=at, from_stage="", to_stage=to, by="Test")
        Quote.objects.filter(pk=self.quote.pk).update(stage=to)

    def draft(self, at: datetime, price: str, *, cost: str = "0", **fields: Any) -> Told:
        """The next revision, not issued; the quote goes back to bid where it had left it."""
        last = self.quote.revisions.order_by("number").last()
        if last is not None:
            self._move("bid", at)
        self.revision = QuoteRevision.objects.create(
            quote=self.quote,
            number=last.number + 1 if last else 1,
            created_at=at,
            **self.values(price, cost),
            **fields,
        )
        return self

    def values(self, price: str, cost: str) -> dict[str, Any]:
        return self.values_of(self.ground, self.currency, price, cost)

    @staticmethod
    def values_of(ground: Ground, currency: str, price: str, cost: str) -> dict[str, Any]:
        """Money before tax is `price`; an eighth of it is tax besides, which no figure may count."""
        tax = (Decimal(price) / 8).quantize(Decimal("0.01"))
        return {
            "price_book": ground.book,
            "practice_set": ground.practice,
            "engine_version": "1",
            "catalogue_version": "1",
            "currency": currency,
            "floors": [],
            "result": {},
            "goods": Decimal(price) - 10,
            "freight": Decimal(10),
            "tax": tax,
            "total": Decimal(price) + tax,
            "cost": Decimal(cost),
            "fits": True,
        }

    def issue(
        self,
        at: datetime,
        price: str,
        *,
        cost: str = "0",
        days: int = 30,
        picks: tuple[str, str] | None = None,
    ) -> Told:
        """A revision issued; `picks` are price and cost of an alternate A beside it."""
        self.draft(at, price, cost=cost)
        if picks:
            self.alternate = self._alternate(*picks)
        self.revision.issued_at, self.revision.issued_by = at, "Test"
        self.revision.valid_day, self.revision.valid_zone = at.date() + timedelta(days=days), ZONE.key
        self.revision.valid_until = end_of_day(self.revision.valid_day, ZONE.key)
        self.revision.save()
        self._move("issued", at)
        return self

    def _alternate(self, price: str, cost: str) -> Alternate:
        money = {
            name: self.values(price, cost)[name] for name in ("goods", "freight", "tax", "total", "cost")
        }
        return Alternate.objects.create(
            revision=self.revision, letter="A", label="Other", floors=[], result={}, fits=True, **money
        )

    def book(self, at: datetime, *, picked: bool = False, name: str = "Rae Winter") -> Told:
        Acceptance.objects.create(
            quote=self.quote,
            revision=self.revision,
            alternate=self.alternate if picked else None,
            name=name,
            at=at,
            recorded_by=self.owner,
            why="By phone",
        )
        self._move("booked", at)
        return self

    def decline(self, at: datetime, reason: str, words: str = "") -> Told:
        self._lost("declined", at, reason, words)
        self._move("declined", at)
        return self

    def lapse(self, at: datetime, reason: str = "") -> Told:
        """Lapsed; `reason` is named by staff a day later."""
        self._move("lapsed", at)
        if reason:
            self._lost("lapsed", at + timedelta(days=1), reason, "")
        return self

    def _lost(self, ended: str, at: datetime, reason: str, words: str) -> None:
        LostOffer.objects.create(
            quote=self.quote,
            revision=self.revision,
            ended=ended,
            reason=reason,
            words=words,
            at=at,
            recorded_by=self.owner,
        )


def fill(ground: Ground, owner: User, count: int, at: datetime) -> None:
    """Many quotes at once, by turns a draft, open, booked without an acceptance, and lapsed; of 1,000 each."""
    ends = ("bid", "issued", "booked", "lapsed")
    values = Told.values_of(ground, "USD", "1000", "700")
    rows = [
        Quote(number=f"F-{next(_numbers):05d}", project=project_of(owner), owner=owner, created_at=at)
        for _ in range(count)
    ]
    for place, row in enumerate(rows):
        row.stage = ends[place % len(ends)]
    quotes_made = Quote.objects.bulk_create(rows)
    moves = [QuoteMove(quote=q, at=at, from_stage="", to_stage=q.stage, by="Test") for q in quotes_made]
    QuoteMove.objects.bulk_create(moves)
    last_day = at.date() + timedelta(days=30)
    offered = {
        "issued_at": at,
        "issued_by": "Test",
        "valid_day": last_day,
        "valid_zone": ZONE.key,
        "valid_until": end_of_day(last_day, ZONE.key),
    }
    QuoteRevision.objects.bulk_create(
        QuoteRevision(quote=q, number=1, created_at=at, **values, **(offered if q.stage != "bid" else {}))
        for q in quotes_made
    )
