"""What the plan editor's requests share: a JSON body in, JSON out, refusals as JSON with a `message`."""

from __future__ import annotations

import functools
import json
from collections.abc import Callable
from typing import Any, Final, NoReturn, TypeVar

from django.http import HttpRequest, HttpResponse, JsonResponse

from framing.common.errors import ApplicationError, Refused, TooBig, Unreadable
from framing.engine.document import MAX_BYTES

BODY_MOST: Final = MAX_BYTES * 2
"""A document's most bytes with every sign escaped as a browser may, and the little around it."""
WHOLE_MOST: Final = 2_000_000_000
COMPACT: Final[dict[str, Any]] = {"separators": (",", ":")}
View = TypeVar("View", bound=Callable[..., HttpResponse])


def json_answer(body: Any, status: int = 200) -> JsonResponse:
    return JsonResponse(body, status=status, json_dumps_params=COMPACT)


def answers_json(view: View) -> View:
    """Turn a refusal of the view into JSON; the view keeps its act and its methods."""

    @functools.wraps(view)
    def answered(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            return view(request, *args, **kwargs)
        except ApplicationError as error:
            return json_answer({"message": error.message}, error.status)

    return answered  # type: ignore[return-value]  # same call, same answer


def posted_json(request: HttpRequest) -> dict[str, Any]:
    """The body, a JSON object. Raises Unreadable, TooBig."""
    if len(request.body) > BODY_MOST:
        raise TooBig(f"What was sent has {len(request.body):,} bytes; at most {BODY_MOST:,} are read here.")
    try:
        body = json.loads(request.body, parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise Unreadable("The body is not JSON. Nothing was changed.") from None
    if not isinstance(body, dict):
        raise Unreadable("The body is no JSON object. Nothing was changed.")
    return body


def posted_whole(body: dict[str, Any], name: str) -> int:
    """A whole number from 0 up. Raises Refused."""
    value = body.get(name)
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= WHOLE_MOST:
        raise Refused(f"“{name}” must be a whole number from 0 to {WHOLE_MOST:,}.", field=name)
    return value


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number")
