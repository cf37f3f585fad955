"""Members of staff for tests."""

from __future__ import annotations

import functools
from itertools import count

from django.contrib.auth.hashers import get_hasher, make_password
from django.test import Client

from framing.common.actors import Actor, person
from framing.common.models import Role, User

PASSWORD = "joists stand every sixteen inches"
_numbers = count(1)


def user(role: str = Role.SELLER, *, name: str = "", team: str = "", email: str = "") -> User:
    """A member of staff; sign in with `email` and PASSWORD."""
    number = next(_numbers)
    return User.objects.create(  # the manager asks the database thrice whether he may be; its constraints say so too
        email=email or f"person{number}@example.test",
        password=_hashed(get_hasher().algorithm),
        name=name or f"Person {number}",
        role=role,
        team=team,
    )


@functools.cache
def _hashed(algorithm: str) -> str:
    """By the hasher that is set: the running product of browser tests knows another one than the tests' own."""
    return make_password(PASSWORD, hasher=algorithm)


def actor(role: str = Role.SELLER, *, team: str = "") -> Actor:
    """A new member of staff as an actor."""
    return person(user(role, team=team))


def client_of(who: User | str = Role.SELLER) -> Client:
    """The browser of a member of staff, signed in; a role makes a new one."""
    client = Client()
    client.force_login(who if isinstance(who, User) else user(who))
    return client
