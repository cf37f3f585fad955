"""Answers of a stage kept by all that they depend on, up to a bound."""

from __future__ import annotations

import gc
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from threading import Lock
from typing import Generic, TypeVar

Answer = TypeVar("Answer")


@contextmanager
def _uncollected() -> Iterator[None]:
    """Python looks for garbage once, afterwards: what a floor is made of all stays, and it is much to look through.

    Of overlapping runs the first to end lets it look again.
    """
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if enabled:
            gc.enable()


class Kept(Generic[Answer]):
    """Answers by what they were worked out from; the longest unused go when there is no more room."""

    def __init__(self, room: int) -> None:
        self._room, self._taken, self._lock = room, 0, Lock()
        self.cache_clear = self._clear  # as functools calls it, so that all caches are emptied alike
        self._answers: OrderedDict[Hashable, tuple[Answer, int]] = OrderedDict()

    def get(self, key: Hashable, make: Callable[[], Answer], size: Callable[[Answer], int]) -> Answer:
        """The kept answer, else what `make` answers; what it raises is not kept."""
        with self._lock:
            if key in self._answers:
                self._answers.move_to_end(key)
                return self._answers[key][0]
        with _uncollected():
            answer = make()
        with self._lock:
            if key not in self._answers:  # else another thread was faster
                self._answers[key] = answer, size(answer)
                self._taken += self._answers[key][1]
            while self._taken > self._room:
                _, (_, freed) = self._answers.popitem(last=False)
                self._taken -= freed
        return answer

    def _clear(self) -> None:
        with self._lock:
            self._answers.clear()
            self._taken = 0
