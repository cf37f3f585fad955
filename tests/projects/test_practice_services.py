"""Drafting, changing and putting in force: rights, states, limits, the audit trail, races."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from framing.common.actors import Actor
from framing.common.errors import Clash, NotAllowed, Refused, StaleSave
from framing.common.models import AuditEntry, Role
from framing.engine.practice import Practice
from framing.projects import selectors, services
from framing.projects.models import PracticeSet
from framing.projects.practice_reads import differing_rows, effects_of, practice_effects, practice_set_list
from framing.projects.practice_services import (
    practice_set_change,
    practice_set_draft,
    practice_set_put_in_force,
)
from tests.factories import people
from tests.factories import projects as make

pytestmark = pytest.mark.django_db
THREADS = 4


@pytest.fixture
def manager() -> Actor:
    return people.actor(Role.MANAGER)


def draft(
    actor: Actor, *, name: str = "House", why: str = "softer floors sell", **values: Any
) -> PracticeSet:
    return practice_set_draft(actor=actor, at=make.AT, name=name, values=values, reason=why)


def force(actor: Actor, row: PracticeSet, **more: Any) -> PracticeSet:
    return practice_set_put_in_force(actor=actor, at=make.AT, row=row, **({"edit": row.edit} | more))


def test_a_draft_changes_nothing_until_it_is_put_in_force(manager: Actor) -> None:
    row = draft(manager, live_deflection=360)
    assert (str(row), row.state, row.made_by, row.edit) == ("House 1", "draft", manager.name, 1)
    assert selectors.practice_in_force() == Practice()
    done = force(manager, row)
    assert (done.state, done.in_force_at, done.in_force_by) == ("in_force", make.AT, manager.name)
    assert selectors.practice_in_force() == Practice(name="House", version=1, live_deflection=360)
    first = PracticeSet.objects.get(name="Standard")
    assert first.state == "earlier"
    assert [str(found) for found in practice_set_list()] == ["House 1", "Standard 1"]
    trail = list(
        AuditEntry.objects.filter(object_id=row.pk, object_type="projects.practiceset").order_by("id")
    )
    assert [(entry.verb, entry.why) for entry in trail] == [
        ("practice_set_draft", "softer floors sell"),
        ("practice_set_put_in_force", "softer floors sell"),
    ]
    assert trail[1].change == {"in_force": ["Standard 1", "House 1"]}
    words = [line.words for line in selectors.history_list(row)]
    assert words[0] == f"{manager.name} put it in force: softer floors sell"


def test_versions_count_by_name_and_defaults_are_not_kept(manager: Actor) -> None:
    assert draft(manager, live_deflection=480, plies_most=2).values == {"plies_most": 2}
    assert draft(manager).version == 2
    assert draft(manager, name="  North   side ").name == "North side"
    assert draft(manager, name="Standard").version == 2


def test_a_draft_is_changed_by_who_saw_it_as_it_is(manager: Actor) -> None:
    row = draft(manager, live_deflection=360)

    def change(edit: int, **values: Any) -> PracticeSet:
        return practice_set_change(
            actor=manager, at=make.AT, row=row, values=values, reason="softer floors sell", edit=edit
        )

    changed = change(1, live_deflection=400, plies_most=2)
    assert (changed.edit, changed.values) == (2, {"live_deflection": 400, "plies_most": 2})
    entry = AuditEntry.objects.get(verb="practice_set_change")
    assert entry.change == {"live_deflection": [360, 400], "plies_most": [None, 2]}
    assert change(1, live_deflection=400, plies_most=2).edit == 2, "what changes nothing is no clash"
    with pytest.raises(StaleSave, match="Somebody changed House 1") as stale:
        change(1, live_deflection=500)
    assert stale.value.detail == {"edit": 2}
    with pytest.raises(StaleSave):
        force(manager, row, edit=1)
    force(manager, changed)
    with pytest.raises(Clash, match="never changes"):
        change(2, live_deflection=500)
    assert AuditEntry.objects.filter(verb="practice_set_change").count() == 1


def test_an_earlier_version_can_be_put_in_force_again_and_never_changes(manager: Actor) -> None:
    services.practice_set_current(at=make.AT)
    first = PracticeSet.objects.get()
    second = force(manager, draft(manager, live_deflection=360))
    with pytest.raises(Clash, match="in force already"):
        force(manager, second)
    assert force(manager, first, replaces=second.public_id).in_force
    second.refresh_from_db()
    assert second.state == "earlier"
    with pytest.raises(Clash, match="has been in force"):
        practice_set_change(actor=manager, at=make.AT, row=second, values={}, reason="back", edit=1)


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"live_deflection": 100}, "live_deflection", "L/100 is outside L/120 to L/1000"),
        ({"impulse_a_mm_per_kn": 2.5}, "impulse_a_mm_per_kn", "2.5 mm per kN is outside 0.5 to 2 mm per kN"),
        ({"outside_bearing_16": 8}, "outside_bearing_16", '1/2" is outside 2 1/2" to'),
        ({"plies_most": 1}, "plies_default", "over the most"),
        ({"rim_sticks_ft": []}, "rim_sticks_ft", "1 to 6 lengths"),
        ({"bundle_most_by_depth": []}, "bundle_most_by_depth", "1 to 12 depths"),
        ({"lift_limit_lb": float("nan")}, "values", ""),
        ({"gravity": 32}, "values", "unknown values"),
        ({"plies_most": True}, "values", "plies_most"),
    ],
)
def test_values_outside_their_limits_are_refused(
    manager: Actor, values: dict[str, Any], field: str, words: str
) -> None:
    with pytest.raises(Refused) as refused:
        draft(manager, **values)
    assert words in refused.value.message
    assert refused.value.field == field or field == "values"
    with pytest.raises(Refused):
        services.practice_set_put(actor=manager, at=make.AT, name="House", values=values)
    assert not PracticeSet.objects.filter(name="House").exists()


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": " "}, "name"),
        ({"why": " "}, "reason"),
        ({"name": "x" * 81}, "name"),
        ({"why": "x" * 401}, "reason"),
    ],
)
def test_a_version_has_a_name_and_a_reason(manager: Actor, given: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        draft(manager, **given)
    assert refused.value.field == field


@pytest.mark.parametrize("role", [Role.SELLER, Role.PLANNER, Role.ADMINISTRATOR, Role.SHOP, Role.DISPATCHER])
def test_only_the_manager_writes(manager: Actor, role: str) -> None:
    row, other = draft(manager), people.actor(role)
    for attempt in (
        lambda: draft(other),
        lambda: practice_set_change(actor=other, at=make.AT, row=row, values={}, reason="x", edit=1),
        lambda: force(other, row),
    ):
        with pytest.raises(NotAllowed):
            attempt()
    assert PracticeSet.objects.filter(name="House", in_force_at=None).count() == 1


def test_the_database_keeps_one_in_force_with_its_date(manager: Actor) -> None:
    row = draft(manager)
    for wrong in ({"in_force": True, "in_force_at": make.AT}, {"in_force": True}):
        with pytest.raises(IntegrityError), transaction.atomic():
            PracticeSet.objects.filter(pk=row.pk).update(**wrong)


def test_two_sets_compared_and_floors_that_would_fail(manager: Actor) -> None:
    firm = make.floor(name="Firm", profile="800S162-54")
    make.floor(name="Free")
    document = make.document(name="Short", profile="1400S162-97")
    services.floor_create(actor=manager, at=make.AT, project=make.project(), document=document)
    row = draft(manager, live_deflection=1000, unusual_live_psf=20.0)
    assert [found.field.name for found in differing_rows(selectors.practice_of(row))] == [
        "live_deflection",
        "unusual_live_psf",
    ]
    effects = effects_of(row, None)
    assert (effects.looked, effects.total) == (3, 3)
    assert [(found.floor, found.words) for found in effects.failing] == [(firm, "fails a check")]
    assert [found.floor.name for found in effects.changing] == ["Free"]
    assert " to " in effects.changing[0].words
    renamed = draft(manager, name="Same")
    assert effects_of(renamed, row).total == 3
    assert effects_of(renamed, None).failing == ()


def test_effects_stop_when_the_time_is_over_and_say_so() -> None:
    for name in ("One", "Two", "Three"):
        make.floor(name=name)
    ticks = iter((0.0, 0.5, 1.5, 3.0))
    effects = practice_effects(
        Practice(live_deflection=360), Practice(), clock=lambda: next(ticks), seconds=2.0
    )
    assert (effects.looked, effects.total) == (2, 3)


def at_once(work: Callable[[int], object]) -> list[object]:
    """Run `work` in several threads at the same moment; a clash is returned, not raised."""
    barrier = Barrier(THREADS)

    def one(index: int) -> object:
        try:
            barrier.wait()
            return work(index)
        except Clash as clash:
            return clash
        finally:
            connection.close()

    with ThreadPoolExecutor(THREADS) as pool:
        return list(pool.map(one, range(THREADS)))


@pytest.mark.django_db(transaction=True)
def test_of_many_put_in_force_at_once_one_stays(manager: Actor) -> None:
    rows = [draft(manager, live_deflection=360 + index) for index in range(THREADS)]
    before = PracticeSet.objects.get(in_force=True)
    answers = at_once(lambda index: force(manager, rows[index], replaces=before.public_id))
    winners = [answer for answer in answers if isinstance(answer, PracticeSet)]
    assert len(winners) == 1
    assert sum(isinstance(answer, Clash) for answer in answers) == THREADS - 1
    assert PracticeSet.objects.get(in_force=True) == winners[0]
    assert AuditEntry.objects.filter(verb="practice_set_put_in_force").count() == 1


@pytest.mark.django_db(transaction=True)
def test_the_same_draft_put_in_force_at_once_counts_once_and_drafts_get_their_own_numbers(
    manager: Actor,
) -> None:
    row = draft(manager)
    answers = at_once(lambda _: force(manager, row))
    assert sum(isinstance(answer, Clash) for answer in answers) == THREADS - 1
    assert AuditEntry.objects.filter(verb="practice_set_put_in_force").count() == 1
    numbers = [made.version for made in at_once(lambda _: draft(manager)) if isinstance(made, PracticeSet)]
    assert sorted(numbers) == [2, 3, 4, 5]
