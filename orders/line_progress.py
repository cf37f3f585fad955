"""How far the worker is with a line plan, told while its one transaction still runs, and whether to stop."""

from __future__ import annotations

import logging
import time
from typing import Any, ClassVar, Final

from django.db import DEFAULT_DB_ALIAS, DatabaseError, connections

SECONDS_BETWEEN: Final = 0.5
MOST: Final = 99  # a hundred is for what is done
logger = logging.getLogger(__name__)


class Progress:
    """Writes a line plan's share by a connection of its own, at most every half second; answers whether to go on.

    The bar is a help, not the work: where the database refuses it the plan is made without.
    """

    tell: ClassVar[str] = (
        "UPDATE orders_lineplan SET state = 'making', done_share = %s"
        " WHERE id = %s AND state IN ('asked', 'making') RETURNING stop_asked"
    )

    def __init__(self, plan_pk: int) -> None:
        self.plan_pk = plan_pk
        self.going = True
        self._last = float("-inf")
        self._other = connections.create_connection(DEFAULT_DB_ALIAS)

    def __call__(self, advance: Any) -> bool:
        now = time.monotonic()
        if self.going and now - self._last >= SECONDS_BETWEEN:
            self._last = now
            self._tell(min(MOST, self.share(advance)))
        return self.going

    def share(self, advance: Any) -> int:
        """How much is done, in hundredths."""
        return int(100 * advance.done // max(1, advance.of))

    def _tell(self, share: int) -> None:
        try:
            with self._other.cursor() as cursor:
                cursor.execute(self.tell, [share, self.plan_pk])
                row = cursor.fetchone()
        except DatabaseError:
            logger.warning(
                "progress of plan %s not told: %s", self.plan_pk, type(self).__name__, exc_info=True
            )
            return
        if row is not None and row[0]:
            self.going = False

    def close(self) -> None:
        self._other.close()
