"""The id of the request (or job) being served, for audit entries, logs and error pages."""

from __future__ import annotations

from contextvars import ContextVar

request_id: ContextVar[str] = ContextVar("request_id", default="")
