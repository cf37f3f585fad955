"""Many at once at one floor: one version a save, one draft a person, nobody forgotten."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.core.cache import cache
from django.db import connection

from framing.common.actors import person
from framing.common.errors import ApplicationError
from framing.common.models import Role
from framing.projects import draw_services
from framing.projects.draw_presence import presence_list
from framing.projects.models import FloorDraft
from tests.factories import people
from tests.factories import projects as make

pytestmark = pytest.mark.django_db(transaction=True)
MANY = 6


def at_once(*acts: Callable[[], Any]) -> Counter[str]:
    """Run all acts in threads of their own, started together; counts "done" and the kinds of refusal."""
    gate = Barrier(len(acts))

    def run(act: Callable[[], Any]) -> str:
        gate.wait()
        try:
            act()
        except ApplicationError as error:
            return type(error).__name__
        finally:
            connection.close()
        return "done"

    with ThreadPoolExecutor(len(acts)) as pool:
        return Counter(pool.map(run, acts))


def test_of_many_saves_at_once_one_counts_and_the_others_hear_of_it() -> None:
    floor = make.floor()
    document = floor.versions.get().document

    def save(number: int) -> Callable[[], Any]:
        actor = people.actor(Role.SELLER)
        drawn = document | {"repeat": number + 2}
        return lambda: draw_services.draw_save(
            actor=actor, at=make.AT, floor=floor, document=drawn, base_version=1
        )

    assert at_once(*(save(number) for number in range(MANY))) == {"done": 1, "StaleSave": MANY - 1}
    floor.refresh_from_db()
    assert (floor.version, floor.versions.count()) == (2, 2)


def test_many_drafts_of_one_person_at_once_are_one() -> None:
    floor, actor = make.floor(), people.actor(Role.SELLER)

    def keep(number: int) -> Callable[[], Any]:
        return lambda: draw_services.draft_keep(
            actor=actor, at=make.AT, floor=floor, document={"n": number}, base_version=1
        )

    assert at_once(*(keep(number) for number in range(MANY))) == {"done": MANY}
    assert FloorDraft.objects.filter(floor=floor).count() == 1


def test_many_who_come_at_once_are_all_remembered() -> None:
    cache.clear()
    floor = make.floor()
    users = [people.user(Role.SELLER) for _ in range(MANY)]

    def come(index: int) -> Callable[[], Any]:
        return lambda: draw_services.presence_ask(
            actor=person(users[index]), at=make.AT, floor=floor, base_version=1
        )

    assert at_once(*(come(index) for index in range(MANY))) == {"done": MANY}
    assert {entry.user for entry in presence_list(floor, make.AT)} == {user.pk for user in users}
