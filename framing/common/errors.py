"""Refusals of the application, one tree; each carries what a person needs and the HTTP status of its kind.

ApplicationError
|-- Refused          422  the act makes no sense as asked; `field` says where
|-- Clash            409  something else came first: stage moved, number taken
|   `-- StaleSave    409  somebody saved a newer version
|-- NotAllowed       403  staff without the right
|-- NotThere         404  does not exist, or is not for this reader
|-- Unreadable       400  what was sent cannot be a text of ours
|-- KeyMissing       400  a money verb without an idempotency key
|-- LengthMissing    411  a body that does not announce its size
|-- TooBig           413  an upload over its limit
`-- TooMany          429  a limit on tries is used up; `retry_after_s` says for how long
"""

from __future__ import annotations

from typing import Any


class ApplicationError(Exception):
    """Base of all refusals. `message` names the thing, the value, the limit and what to do."""

    status = 400
    title = "This could not be done"

    def __init__(self, message: str, *, field: str = "", detail: Any = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        self.detail = detail


class Refused(ApplicationError):
    status = 422
    title = "Not possible as asked"


class Clash(ApplicationError):
    status = 409
    title = "Something changed meanwhile"


class StaleSave(Clash):
    title = "Somebody saved a newer version"


class NotAllowed(ApplicationError):
    status = 403
    title = "Not for your role"


class NotThere(ApplicationError):
    status = 404
    title = "Not found"

    def __init__(self, message: str = "There is nothing at this address.") -> None:
        super().__init__(message)


class Unreadable(ApplicationError):
    status = 400
    title = "Not readable"


class KeyMissing(ApplicationError):
    status = 400
    title = "Idempotency key missing"


class LengthMissing(ApplicationError):
    status = 411
    title = "Size missing"


class TooBig(ApplicationError):
    status = 413
    title = "Too big"


class TooMany(ApplicationError):
    status = 429
    title = "Too many tries"

    def __init__(self, message: str, retry_after_s: int) -> None:
        super().__init__(message)
        self.retry_after_s = retry_after_s
