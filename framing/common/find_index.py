"""Keeps the words by which things are found: each app tells its kinds and what of its models is read for them.

The words are written in the transaction of the change. What reaches the database past the models (SQL, `update`) is
not seen; `./run manage rebuild_find` makes all entries anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, Final, TypeVar

from django.db import models, transaction
from django.db.models.signals import post_delete, post_save

from framing.common.find_words import key_of, left_out, may_be_near, parts_of, stored_words, tail_of
from framing.common.lists_models import FindEntry, FindWord

BATCH: Final = 500
Some = TypeVar("Some")
_WRITTEN: Final = ("public_id", "title", "note", "title_key", "words")


@dataclass(frozen=True, slots=True)
class Found:
    """What is kept of one thing: its title and the line under it, and texts by which it is found besides."""

    pk: int
    public_id: str
    title: str
    note: str
    number: str = ""
    phone: str = ""
    texts: Sequence[str] = ()

    def entry(self, kind: str) -> FindEntry:
        title = parts_of(self.title)
        signed = [f"~{kind}", *(f"^{word}" for word in title[:1])]
        if self.number:
            signed += [f"={key_of(self.number)}", f"={tail_of(self.number)}"]
        words = stored_words(texts=(self.title, self.note, *self.texts), number=self.number, phone=self.phone)
        return FindEntry(
            kind=kind,
            object_id=self.pk,
            public_id=self.public_id,
            title=self.title[:200],
            note=self.note[:500],
            title_key=" ".join(title)[:400],
            words=" ".join([*signed, words]).rstrip(),
        )


@dataclass(frozen=True, slots=True)
class FindKind:
    """A kind of thing that can be found.

    Args:
        key: kept in the entries, never changed afterwards.
        title: the heading over its hits.
        act: object and verb of the access table that a reader needs.
        page: route of a thing's page, which takes the public id.
        list_page: route of the list, `list_search` the name of its search field.
        read: the things with these keys, all where None.
        stages: stage and its word of the things with these keys, where the kind has stages.
    """

    key: str
    title: str
    act: tuple[str, str]
    page: str
    list_page: str
    list_search: str
    read: Callable[[Sequence[int] | None], Iterable[Found]]
    stages: Callable[[Sequence[int]], dict[int, tuple[str, str]]] | None = None


KINDS: dict[str, FindKind] = {}


def find_register(kind: FindKind) -> None:
    """Add a kind; hits stand in the order of registering."""
    KINDS[kind.key] = kind


def find_watch(
    model: type[models.Model],
    fields: Iterable[str],
    reach: dict[str, Callable[[Any], Iterable[int]]],
) -> None:
    """After each save that touches one of `fields`, and after removal, read things anew.

    `reach` tells by kind which things a row of the model stands in.
    """
    watched = frozenset(fields)

    def saved(instance: Any, update_fields: Iterable[str] | None = None, **_: Any) -> None:
        if update_fields is None or watched & set(update_fields):
            for kind, pks_of in reach.items():
                refresh(kind, pks_of(instance))

    name = f"find {model._meta.label_lower} {' '.join(sorted(reach))}"
    post_save.connect(saved, sender=model, weak=False, dispatch_uid=f"{name} saved")
    own = [kind for kind, pks_of in reach.items() if pks_of is own_key]
    for kind in own:
        post_delete.connect(_removal(kind), sender=model, weak=False, dispatch_uid=f"{name} {kind} removed")


def own_key(instance: models.Model) -> tuple[int]:
    """For `find_watch`: the row is the thing itself."""
    return (instance.pk,)


def _removal(kind: str) -> Callable[..., None]:
    def removed(instance: models.Model, **_: Any) -> None:
        FindEntry.objects.filter(kind=kind, object_id=instance.pk).delete()

    return removed


def refresh(kind: str, pks: Iterable[int]) -> None:
    """Write the entries of things anew where they read otherwise; unknown kinds are left."""
    if kind in KINDS:
        for some in _chunks(pks, BATCH):
            _write(kind, KINDS[kind].read(some))


def rebuild() -> dict[str, int]:
    """Make all entries anew; returns how many things of each kind there are."""
    counts = {}
    with transaction.atomic():
        FindEntry.objects.all().delete()
        FindWord.objects.all().delete()
        for kind in KINDS.values():
            counts[kind.key] = 0
            for some in _chunks(kind.read(None), BATCH):
                _write(kind.key, some)
                counts[kind.key] += len(some)
    return counts


def _chunks(things: Iterable[Some], most: int) -> Iterator[tuple[Some, ...]]:
    rest = iter(things)
    while some := tuple(islice(rest, most)):
        yield some


def _write(kind: str, things: Iterable[Found]) -> None:
    entries = [thing.entry(kind) for thing in things]
    rows = FindEntry.objects.filter(kind=kind, object_id__in=[entry.object_id for entry in entries])
    before = {row[0]: row[1:] for row in rows.values_list("object_id", *_WRITTEN)}
    changed = [
        entry
        for entry in entries
        if before.get(entry.object_id) != tuple(getattr(entry, name) for name in _WRITTEN)
    ]
    if changed:
        FindEntry.objects.bulk_create(
            changed, update_conflicts=True, unique_fields=["kind", "object_id"], update_fields=list(_WRITTEN)
        )
        _write_words({word for entry in changed for word in entry.words.split()})


def _write_words(words: set[str]) -> None:
    new = sorted(word for word in words if may_be_near(word))
    for some in _chunks(_unknown(new), BATCH):
        FindWord.objects.bulk_create(FindWord(word=word, near=left_out(word)) for word in some)


def _unknown(words: list[str]) -> Iterator[str]:
    known = set(FindWord.objects.filter(word__in=words).values_list("word", flat=True))
    return (word for word in words if word not in known)
