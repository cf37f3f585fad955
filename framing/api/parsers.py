"""Reading JSON bodies: every malformed one is an answer, never a fault."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import IO, Any, NoReturn

from django.conf import settings
from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

from framing.common.errors import TooBig

DEEPEST = 40


class BoundedJSONParser(JSONParser):
    """JSON as the standard has it: finite numbers, UTF-8, nested at most 40 deep, within the size limit."""

    def parse(
        self,
        stream: IO[bytes],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        del media_type, parser_context
        most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        body = stream.read(most + 1)
        if len(body) > most:
            raise TooBig(f"The body is over {most:,} bytes. Nothing was changed.")
        try:
            value = json.loads(body.decode("utf-8"), parse_constant=_no_constant)
        except UnicodeDecodeError as error:
            raise ParseError("The body is not UTF-8 text.") from error
        except RecursionError as error:
            raise ParseError(f"The body is nested more than {DEEPEST} deep.") from error
        except ValueError as error:
            raise ParseError(f"The body is not JSON: {error}.") from error
        _check_depth(value)
        return value


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number")


def _check_depth(value: Any) -> None:
    """Walk without recursion, so that nothing behind the parser can exhaust the stack."""
    waiting = [(value, 1)]
    while waiting:
        found, depth = waiting.pop()
        if depth > DEEPEST:
            raise ParseError(f"The body is nested more than {DEEPEST} deep.")
        if isinstance(found, dict):
            waiting.extend((inner, depth + 1) for inner in found.values())
        elif isinstance(found, list):
            waiting.extend((inner, depth + 1) for inner in found)
