"""Saved filters, where a person's lists begin, and whether single keys act: reads and verbs.

A filter is private or shared with all staff. Its maker changes it; a shared one a manager may change too. What is
private to somebody is not there for others.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, NoReturn

from django.db import IntegrityError, transaction
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.http import QueryDict

from framing.common.access import may, require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere, Refused
from framing.common.listing import LISTS, Asked, ListSpec, list_named, list_read
from framing.common.lists_models import NAME_MOST, QUERY_MOST, ListStart, ReaderSetting, SavedFilter
from framing.common.models import User

SAVED_MOST = 60


def saved_list(reader: User, key: str = "") -> QuerySet[SavedFilter]:
    """Filters that this person may use, own ones and shared ones, of one list or of all that the role may read.

    `is_start` tells with which of them a list begins for the person.
    """
    readable = [spec.key for spec in LISTS.values() if may(reader.role, *spec.act, own=False)]
    rows = SavedFilter.objects.filter(Q(owner=reader) | Q(shared=True), list_key__in=readable)
    rows = rows.annotate(is_start=Exists(ListStart.objects.filter(user=reader, saved=OuterRef("pk"))))
    if key:
        rows = rows.filter(list_key=key)
    return rows.select_related("owner").order_by("list_key", "name", "pk")


def saved_get(reader: User, public_id: str) -> SavedFilter:
    """One of `saved_list`. Raises NotThere."""
    row = saved_list(reader).filter(public_id=public_id).first() if public_id.isalnum() else None
    return row or _missing()


def may_change(actor: Actor, row: SavedFilter) -> bool:
    """The maker; a shared one a manager too."""
    if actor.user is not None and row.owner_id == actor.user.pk:
        return True
    return row.shared and may(actor.audience, "saved_filter", "change", own=False)


def saved_read(row: SavedFilter, reader: User) -> Asked:
    """What a saved filter asks for: `words` say it, `said` names what is not there any more."""
    return _read(list_named(row.list_key), row.query, reader)


def saved_filter_make(
    *, actor: Actor, at: datetime, key: str, name: str, query: str, shared: bool = False
) -> SavedFilter:
    """Keep a list's address under a name.

    Raises:
        NotThere: there is no such list; NotAllowed: the role may not read it.
        Refused: no name, too long a name or address, or too many filters.
        Clash: the person has one of this name for the list.
    """
    reader, spec = _person(actor), list_named(key)
    with transaction.atomic():
        require(actor, "saved_filter", "make")
        require(actor, *spec.act)
        if SavedFilter.objects.filter(owner=reader, list_key=key).count() >= SAVED_MOST:
            raise Refused(f"{spec.title} has {SAVED_MOST} filters of yours already. Take one away first.")
        row = SavedFilter(
            owner=reader,
            list_key=key,
            name=_name(name),
            query=_query(spec, query, reader),
            shared=shared,
            created_at=at,
        )
        _save(row)
        audit_record(
            actor, "saved_filter_make", row, at=at, change={"list": key, "query": row.query, "shared": shared}
        )
    return row


def saved_filter_change(
    *, actor: Actor, at: datetime, row: SavedFilter, name: str, shared: bool, query: str | None = None
) -> SavedFilter:
    """Rename, share or take back, and with `query` keep another address. Raises as `saved_filter_make`."""
    with transaction.atomic():
        found = _changeable(actor, row)
        before: dict[str, Any] = {"name": found.name, "shared": found.shared, "query": found.query}
        found.name, found.shared = _name(name), shared
        if query is not None:
            found.query = _query(list_named(found.list_key), query, _person(actor))
        change = {
            key: [old, getattr(found, key)] for key, old in before.items() if old != getattr(found, key)
        }
        if change:
            _save(found)
            if not shared:
                found.starts.exclude(user=found.owner).delete()
            audit_record(actor, "saved_filter_change", found, at=at, change=change)
    return found


def saved_filter_remove(*, actor: Actor, at: datetime, row: SavedFilter) -> None:
    """Take a filter away; lists that began with it begin as usual."""
    with transaction.atomic():
        found = _changeable(actor, row)
        audit_record(
            actor,
            "saved_filter_remove",
            found,
            at=at,
            change={"list": found.list_key, "name": found.name, "query": found.query},
        )
        found.delete()


def list_start_set(*, actor: Actor, at: datetime, key: str, row: SavedFilter | None) -> None:
    """Let one's list begin with a filter, or as usual where None. Raises NotThere for a filter of another list."""
    reader, spec = _person(actor), list_named(key)
    with transaction.atomic():
        require(actor, "saved_filter", "start")
        require(actor, *spec.act)
        before = ListStart.objects.filter(user=reader, list_key=key).first()
        if row is None:
            if before is not None:
                audit_record(actor, "list_start_clear", before, at=at, change={"list": key})
                before.delete()
            return
        found = saved_get(reader, row.public_id)
        if found.list_key != key:
            _missing()
        if before is not None and before.saved_id == found.pk:
            return
        start, _ = ListStart.objects.update_or_create(user=reader, list_key=key, defaults={"saved": found})
        audit_record(actor, "list_start_set", start, at=at, change={"list": key, "filter": found.name})


def single_keys_on(reader: User) -> bool:
    """Whether keys without Control act on pages (WCAG 2.1.4)."""
    row = ReaderSetting.objects.filter(user=reader).first()
    return row is None or row.single_keys


def single_keys_set(*, actor: Actor, at: datetime, on: bool) -> None:
    """Switch single keys on or off for oneself."""
    reader = _person(actor)
    with transaction.atomic():
        row, _ = ReaderSetting.objects.select_for_update().get_or_create(user=reader)
        if row.single_keys != on:
            row.single_keys = on
            row.save(update_fields=["single_keys"])
            audit_record(actor, "single_keys_set", row, at=at, change={"single_keys": [not on, on]})


def _person(actor: Actor) -> User:
    return actor.user if actor.user is not None else _missing()


def _changeable(actor: Actor, row: SavedFilter) -> SavedFilter:
    found = SavedFilter.objects.select_for_update(of=("self",)).select_related("owner").filter(pk=row.pk)
    one = found.first() or _missing()
    if not one.shared and one.owner != actor.user:
        _missing()
    if not may_change(actor, one):
        require(actor, "saved_filter", "change", owner=None, owned=True)
    return one


def _name(name: str) -> str:
    kept = " ".join(name.replace("\x00", "").split())
    if not kept:
        raise Refused("Give the filter a name, such as “Lapsing this week”.", field="name")
    if len(kept) > NAME_MOST:
        raise Refused(f"A name has at most {NAME_MOST} signs; this one has {len(kept)}.", field="name")
    return kept


def _query(spec: ListSpec, query: str, reader: User) -> str:
    """The address in its shortest form: what the list can't use is not kept."""
    kept = _read(spec, query, reader).query
    if len(kept) > QUERY_MOST:
        raise Refused(
            f"This filter's address has {len(kept)} signs; at most {QUERY_MOST} can be kept. Leave out some of it.",
            field="query",
        )
    return kept


def _read(spec: ListSpec, query: str, reader: User) -> Asked:
    params = QueryDict(query.replace("\x00", "")[: 4 * QUERY_MOST])
    return list_read(spec, params, audience=reader.role, reader=reader)


def _save(row: SavedFilter) -> None:
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as error:
        title = list_named(row.list_key).title.lower()
        raise Clash(
            f"There is a filter “{row.name}” for {title} already. Take another name, or change that one.",
            field="name",
        ) from error


def _missing() -> NoReturn:
    raise NotThere()
