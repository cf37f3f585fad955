"""Members of staff for tests."""

from __future__ import annotations

from itertools import count

from framing.common.actors import Actor, person
from framing.common.models import Role, User

PASSWORD = "joists stand every sixteen inches"
_numbers = count(1)


def user(role: str = Role.SELLER, *, name: str = "", team: str = "", email: str = "") -> User:
    """A member of staff; sign in with `email` and PASSWORD."""
    number = next(_numbers)
    return User.objects.create_user(
        email or f"person{number}@example.test",
        PASSWORD,
        name=name or f"Person {number}",
        role=role,
        team=team,
    )


def actor(role: str = Role.SELLER, *, team: str = "") -> Actor:
    """A new member of staff as an actor."""
    return person(user(role, team=team))
