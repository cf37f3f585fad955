"""Acts of several people at the same moment, for tests on committed rows."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

from django.db import connection

from framing.common.errors import ApplicationError


def at_once(*acts: Callable[[], Any]) -> list[Any]:
    """Each act in a thread of its own, all at once; their answers or refusals."""
    barrier = Barrier(len(acts))

    def one(act: Callable[[], Any]) -> Any:
        try:
            barrier.wait()
            return act()
        except ApplicationError as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(one, acts))
