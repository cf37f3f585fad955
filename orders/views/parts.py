"""What the pages share."""

from __future__ import annotations

from typing import cast

from django.http import HttpRequest

from framing.common.models import User


def user_of(request: HttpRequest) -> User:
    """The signed-in member of staff; the gate lets nobody else through."""
    return cast("User", request.user)
