"""Engine results as versioned JSON and back; the only code that knows both shapes.

A stored revision stays readable for ever: a new shape gets a new version, the reader of the old one stays.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from framing.engine.result import PackageResult

__all__ = [
    "PackageResult",
    "SnapshotUnreadable",
    "package_from_json",
    "package_to_json",
]  # the shape too: orders reads it

FORMAT: Final = "spanyard.result"
VERSION: Final = 1

_package: Final = TypeAdapter(PackageResult)


class SnapshotUnreadable(ValueError):
    """A stored result with a format or version that this release does not know, or of another shape."""


def package_to_json(result: PackageResult) -> dict[str, Any]:
    """The result as plain JSON values."""
    return {
        "format": FORMAT,
        "version": VERSION,
        "package": _package.dump_python(result, mode="json"),
    }


def package_from_json(stored: Mapping[str, Any]) -> PackageResult:
    """The result of `package_to_json`, equal to what went in. Raises SnapshotUnreadable."""
    if stored.get("format") != FORMAT or stored.get("version") != VERSION:
        raise SnapshotUnreadable(
            f"Format {stored.get('format')!r} version {stored.get('version')!r};"
            f" this release reads {FORMAT} {VERSION}."
        )
    try:
        return _package.validate_python(stored.get("package"), strict=False)
    except ValidationError as error:
        raise SnapshotUnreadable(str(error)) from error
