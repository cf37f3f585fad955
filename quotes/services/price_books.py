"""A price book's life: drafted, changed, sent to review, put in force from a day on; each act audited (R38).

One act on price books at a time: they queue for one lock, so that versions and days never collide.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Final

from django.db import connection, transaction
from django.db.models import Max, Q

from framing.common.access import may, require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotAllowed, Refused, StaleSave
from framing.common.zones import company_day
from quotes.models import BookState, PriceBook
from quotes.price_changes import change_counts, changes_between
from quotes.price_documents import PriceBookDocument, PriceDocumentRefused, read_price_document
from quotes.price_reads import document_of
from quotes.services.approvals import read_reason
from quotes.services.price_rows import HEAD, rows_clear, rows_store

_LOCK: Final = (0x5350, 38)


def price_book_import(*, actor: Actor, data: Mapping[str, Any], at: datetime) -> PriceBook:
    """Store a price book document and put it in force from its first day on, all or nothing.

    Raises Refused with every wrong field in `detail`; Clash where this name and number is stored already, or where
    its time would lie over another book's; Refused too where it would change which book held on days that are over.
    """
    require(actor, "price_book", "put_in_force")
    document = read(data)
    _require_gifts(actor, document)
    with transaction.atomic():
        _lock()
        if PriceBook.objects.filter(name=document.name, version=document.number).exists():
            raise Clash(
                f"Price book {document.name} {document.number} is stored already; give it a new number."
            )
        book = _store(document, document.number, actor, at)
        before = _make_room(book, document.valid_from, None, at)
        _begin(book, document.valid_from, None, actor, at)
        change = {"in_force": [str(before) if before else None, str(book)], "items": len(document.items)}
        audit_record(actor, "price_book_import", book, at=at, change=change)
    return book


def price_book_draft(*, actor: Actor, data: Mapping[str, Any], at: datetime) -> PriceBook:
    """Keep a document as a draft, the next version of its name. Raises Refused as `price_book_import`."""
    require(actor, "price_book", "change")
    document = read(data)
    _require_gifts(actor, document)
    with transaction.atomic():
        _lock()
        book = _store(document, _next_version(document.name), actor, at)
        audit_record(actor, "price_book_draft", book, at=at, change={"items": len(document.items)})
    return book


def price_book_change(
    *, actor: Actor, book: PriceBook, data: Mapping[str, Any], edit: int, at: datetime
) -> PriceBook:
    """Give a draft the contents of a document. What changes nothing writes nothing.

    The version stays, but for another name: then it is the next one of that name.

    Raises Clash where it is no draft any more, StaleSave where somebody changed it since `edit`, Refused as above.
    """
    require(actor, "price_book", "change")
    document = read(data)
    _require_gifts(actor, document)
    with transaction.atomic():
        _lock()
        draft = _at(book, BookState.DRAFT, "is no draft any more; make a new version from it")
        moved = changes_between(document_of(draft), document)
        head = _head_moved(draft, document)
        if not moved and not head:
            return draft
        _refuse_stale(draft, edit)
        if "name" in head:
            draft.name, draft.version = document.name, _next_version(document.name)
        rows_clear(draft)
        for name in (*HEAD, "valid_from"):
            setattr(draft, name, getattr(document, name))
        draft.edit += 1
        draft.save()
        rows_store(draft, document)
        audit_record(actor, "price_book_change", draft, at=at, change=change_counts(moved) | head)
    return draft


def _head_moved(draft: PriceBook, document: PriceBookDocument) -> dict[str, Any]:
    """Name and first day where the document has others, as the trail keeps them."""
    pairs = {
        name: (str(getattr(draft, name)), str(getattr(document, name))) for name in ("name", "valid_from")
    }
    return {name: list(pair) for name, pair in pairs.items() if pair[0] != pair[1]}


def price_book_send(*, actor: Actor, book: PriceBook, note: str, edit: int, at: datetime) -> PriceBook:
    """Send a draft to review with a note; it rests until it is put in force or given back.

    Raises Refused without a note, Clash where it is no draft, StaleSave where it was changed since `edit`.
    """
    require(actor, "price_book", "change")
    said = read_reason(note, "note", "Say what is new in this price book.")
    with transaction.atomic():
        _lock()
        draft = _at(book, BookState.DRAFT, "is no draft any more")
        _refuse_stale(draft, edit)
        draft.state, draft.note = BookState.REVIEW, said
        draft.sent_by, draft.sent_at = actor.name[:160], at
        draft.save(update_fields=["state", "note", "sent_by", "sent_at"])
        audit_record(actor, "price_book_send", draft, at=at, why=said)
    return draft


def price_book_give_back(*, actor: Actor, book: PriceBook, why: str, at: datetime) -> PriceBook:
    """Make what is in review a draft again, with a reason. Raises Refused without one, Clash at another state."""
    require(actor, "price_book", "change")
    said = read_reason(why, "why", "Say what is to change.")
    with transaction.atomic():
        _lock()
        row = _at(book, BookState.REVIEW, "is not in review")
        row.state = BookState.DRAFT
        row.save(update_fields=["state"])
        audit_record(actor, "price_book_give_back", row, at=at, why=said)
    return row


def price_book_put_in_force(
    *,
    actor: Actor,
    book: PriceBook,
    valid_from: date,
    edit: int,
    at: datetime,
    valid_until: date | None = None,
) -> PriceBook:
    """Put what was reviewed in force from a day on, to a last day or open; the one before ends with that day.

    Args:
        valid_until: the first day on which it holds no more.

    Raises:
        Refused: a first day in the past, or an end not after it.
        Clash: not in review, or its time would lie over another book's.
        StaleSave: it was changed since `edit`.
    """
    require(actor, "price_book", "put_in_force")
    today = company_day(at)
    if valid_from < today:
        raise Refused(
            f"A price book begins today ({today:%b %d, %Y}) or later; {valid_from:%b %d, %Y} is over.",
            field="valid_from",
        )
    if valid_until is not None and valid_until <= valid_from:
        raise Refused(f"It must end after it begins, {valid_from:%b %d, %Y}.", field="valid_until")
    with transaction.atomic():
        _lock()
        row = _at(book, BookState.REVIEW, "is not in review; send it there first")
        _refuse_stale(row, edit)
        before = _make_room(row, valid_from, valid_until, at)
        _begin(row, valid_from, valid_until, actor, at)
        change = {
            "in_force": [str(before) if before else None, str(row)],
            "valid_from": valid_from.isoformat(),
            "valid_until": valid_until.isoformat() if valid_until else None,
        }
        audit_record(actor, "price_book_put_in_force", row, at=at, change=change, why=row.note)
    return row


def price_book_discard(*, actor: Actor, book: PriceBook, at: datetime) -> None:
    """Throw a draft away; the trail keeps that it was. Raises Clash where it is no draft."""
    require(actor, "price_book", "change")
    with transaction.atomic():
        _lock()
        draft = _at(book, BookState.DRAFT, "is no draft; only drafts can be thrown away")
        audit_record(actor, "price_book_discard", draft, at=at, change={"version": str(draft)})
        draft.delete()


def read(data: Mapping[str, Any]) -> PriceBookDocument:
    """The document of some data. Raises Refused with every wrong field in `detail`."""
    try:
        return read_price_document(data)
    except PriceDocumentRefused as error:
        detail = [{"place": place, "message": message} for place, message in error.problems]
        raise Refused(f"This price book cannot be read. {error}", detail=detail) from error


def _require_gifts(actor: Actor, document: PriceBookDocument) -> None:
    """What is given at no charge needs the right to give it. Raises NotAllowed naming it."""
    gifts = document.gifts
    if gifts and not may(actor.audience, "price_book", "give"):
        raise NotAllowed(
            f"Your role ({actor.audience}) may not give anything at no charge: {', '.join(gifts[:5])}."
            " Give it a price, or ask a manager."
        )


def _next_version(name: str) -> int:
    last = PriceBook.objects.filter(name=name).aggregate(last=Max("version"))["last"] or 0
    return int(last) + 1


def _lock() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", _LOCK)


def _at(book: PriceBook, state: BookState, otherwise: str) -> PriceBook:
    row = PriceBook.objects.select_for_update().filter(pk=book.pk).first()
    if row is None:
        raise Clash(f"{book} was thrown away meanwhile.")
    if row.state != state:
        raise Clash(f"{row} {otherwise}.")
    return row


def _refuse_stale(row: PriceBook, edit: int) -> None:
    if row.edit != edit:
        raise StaleSave(
            f"Somebody changed {row} while you looked at it. Look at it again, then repeat.",
            field="edit",
            detail={"edit": row.edit},
        )


def _store(document: PriceBookDocument, version: int, actor: Actor, at: datetime) -> PriceBook:
    values = {name: getattr(document, name) for name in HEAD}
    book = PriceBook.objects.create(
        name=document.name,
        version=version,
        valid_from=document.valid_from,
        made_by=actor.name[:160],
        created_at=at,
        **values,
    )
    rows_store(book, document)
    return book


def _make_room(book: PriceBook, begin: date, end: date | None, at: datetime) -> PriceBook | None:
    """End the book that holds on the first day; refuse one that would go on after the new one, or begins later.

    A day that is over keeps its book: quotes of that day were priced by it.
    """
    over = PriceBook.objects.filter(Q(valid_until=None) | Q(valid_until__gt=begin), state=BookState.IN_FORCE)
    if end is not None:
        over = over.filter(valid_from__lt=end)
    before = None
    for other in over.exclude(pk=book.pk).order_by("valid_from"):
        goes_on = end is not None and other.valid_until is not None and other.valid_until > end
        if other.valid_from > begin or goes_on:
            until = f" to {other.valid_until:%b %d, %Y}" if other.valid_until else " on"
            raise Clash(
                f"From {begin:%b %d, %Y} it would lie over {other}, which holds from"
                f" {other.valid_from:%b %d, %Y}{until}. Choose days that are free.",
                field="valid_from",
            )
        if begin < (today := company_day(at)):
            raise Refused(
                f"{begin:%b %d, %Y} is over, and {other} held from then on. Begin today ({today:%b %d, %Y}) or later.",
                field="valid_from",
            )
        before = other
        other.valid_until = begin
        other.save(update_fields=["valid_until"])
    return before


def _begin(book: PriceBook, begin: date, end: date | None, actor: Actor, at: datetime) -> None:
    book.state, book.valid_from, book.valid_until = BookState.IN_FORCE, begin, end
    book.in_force_by, book.in_force_at = actor.name[:160], at
    book.save(update_fields=["state", "valid_from", "valid_until", "in_force_by", "in_force_at"])
