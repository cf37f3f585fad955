"""Logs that hold no link secret: a builder's link stands in the address of one request, and nowhere in a log (C4)."""

from __future__ import annotations

import logging
import re
from datetime import timedelta
from typing import Any

from gunicorn.glogging import Logger

_SECRET = re.compile(r"(/(?:l|calendar)/)[^/\s\"'?]+")
_ATOMS = ("r", "U", "f", "{raw_uri}e", "{path_info}e")


def mask_secrets(text: str) -> str:
    """The text with the secret of every link address replaced by three dots."""
    return _SECRET.sub(r"\1...", text)


class SecretFilter(logging.Filter):
    """Masks the finished message of a record, whoever wrote it."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg, record.args = mask_secrets(record.getMessage()), ()
        return True


class MaskedLogger(Logger):  # type: ignore[misc]  # gunicorn ships no types
    """gunicorn's log with the addresses masked."""

    def atoms(self, resp: Any, req: Any, environ: dict[str, Any], request_time: timedelta) -> dict[str, Any]:
        found: dict[str, Any] = super().atoms(resp, req, environ, request_time)
        return found | {name: mask_secrets(str(found[name])) for name in _ATOMS if name in found}
