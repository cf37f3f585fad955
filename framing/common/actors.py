"""Who acts: a member of staff, a builder by link, or the system itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from framing.common.models import AccessLink, User

ActorKind = Literal["person", "link", "system"]


@dataclass(frozen=True, slots=True)
class Actor:
    """The one who asks; every service takes one."""

    kind: ActorKind
    name: str
    user: User | None = None
    link: AccessLink | None = None

    @property
    def audience(self) -> str:
        """The column of the access table."""
        if self.user is not None:
            return self.user.role
        if self.link is not None:
            return f"{self.link.purpose}_link"
        return "system" if self.kind == "system" else "stranger"

    @property
    def reference(self) -> str:
        """A short stable key of the actor, for idempotency."""
        if self.user is not None:
            return f"user:{self.user.pk}"
        return f"link:{self.link.pk}" if self.link is not None else self.kind

    @property
    def is_staff(self) -> bool:
        return self.user is not None


def person(user: User) -> Actor:
    return Actor("person", user.name, user=user)


def by_link(link: AccessLink, name: str = "") -> Actor:
    return Actor("link", name or link.for_name, link=link)


SYSTEM = Actor("system", "Spanyard")
