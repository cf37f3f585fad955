"""What tests of the plan editor's routes share."""

from __future__ import annotations

import json
import re
from copy import deepcopy
from html import unescape
from typing import Any

from django.test import Client
from django.urls import reverse

from framing.common.models import User
from framing.projects.models import Floor, Project
from tests.factories.people import client_of

OPENING = {"id": "S1", "kind": "stair", "corner": ["8'", "2'"], "size": ["4'", "8'"]}


def url(name: str, thing: Floor | Project, *more: Any) -> str:
    return reverse(f"projects:{name}", args=[thing.public_id, *more])


def post(client: Client, address: str, body: Any) -> Any:
    text = body if isinstance(body, (str, bytes)) else json.dumps(body)
    return client.post(address, text, content_type="application/json")


def saved_of(floor: Floor) -> dict[str, Any]:
    document: dict[str, Any] = floor.versions.order_by("-number")[0].document
    return document


def with_opening(floor: Floor, **fields: Any) -> dict[str, Any]:
    return deepcopy(saved_of(floor)) | {"openings": [OPENING | fields]}


def start_of(answer: Any) -> dict[str, Any]:
    """The start document as the page holds it, whatever element that is in; it can't leave its element."""
    assert answer.status_code == 200
    found = re.search(r'<(\w+) id="draw-start"[^>]*>([^<]*)</\1>', answer.content.decode())
    assert found is not None
    start: dict[str, Any] = json.loads(unescape(found[2]))
    assert start == answer.context["start"] == json.loads(answer.context["start_text"])
    return start


def keep(who: User, floor: Floor, document: Any, base_version: int = 1) -> Any:
    return post(
        client_of(who), url("draw_draft", floor), {"document": document, "base_version": base_version}
    )


def save(who: User, floor: Floor, document: Any, base_version: Any) -> Any:
    return post(client_of(who), url("draw_save", floor), {"document": document, "base_version": base_version})


def ask(who: User | str, floor: Floor, base_version: int = 1) -> Any:
    return post(client_of(who), url("draw_presence", floor), {"base_version": base_version})
