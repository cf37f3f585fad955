"""Every route of the project, with what it names of the access table."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

from framing.common.access import LIBRARY_ROUTES, PUBLIC, SIGNED_IN, Act
from framing.common.middleware import act_of

SAMPLE = {"int": "7", "str": "0" * 20, "slug": "nothing", "path": "nothing", "uuid": "0" * 32}


@dataclass(frozen=True, slots=True)
class Route:
    """One route: `path` is a sample address whose ids exist nowhere, `act` what it names, if anything."""

    name: str
    path: str
    view: Any
    act: Act | None

    @property
    def is_api(self) -> bool:
        return self.path.startswith("/api/")

    @property
    def is_admin(self) -> bool:
        return self.path.startswith("/admin/")


def all_routes() -> list[Route]:
    return list(_walk(get_resolver(), "", ""))


def _walk(resolver: URLResolver, prefix: str, namespace: str) -> Iterator[Route]:
    for entry in resolver.url_patterns:
        here = prefix + _sample(str(entry.pattern))
        if isinstance(entry, URLResolver):
            inner = f"{namespace}{entry.namespace}:" if entry.namespace else namespace
            yield from _walk(entry, here, inner)
        elif isinstance(entry, URLPattern):
            name = f"{namespace}{entry.name}"
            library = LIBRARY_ROUTES.get(name)
            yield Route(
                name,
                f"/{here}",
                entry.callback,
                act_of(entry.callback) or (Act(library) if library else None),
            )


def _sample(pattern: str) -> str:
    """A pattern with its converters filled in; regular expressions of libraries are cut at their first group."""
    out = pattern
    while "<" in out and ">" in out:
        head, rest = out.split("<", 1)
        inside, tail = rest.split(">", 1)
        kind = inside.split(":")[0] if ":" in inside else "str"
        out = head + SAMPLE.get(kind, SAMPLE["str"]) + tail
    return out


__all__ = ["PUBLIC", "SIGNED_IN", "Route", "all_routes"]
