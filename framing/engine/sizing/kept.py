"""Answers kept for the latest inputs, told apart as objects: within a run a floor's parts are the same ones.

Telling floors apart by value would read every member each time.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from typing import Generic, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")


class Kept(Generic[P, T]):
    """A function of frozen inputs, given by place, that keeps its latest answers."""

    def __init__(self, made: Callable[P, T], size: int) -> None:
        self.__doc__ = made.__doc__
        self._made, self._size = made, size
        self._answers: OrderedDict[tuple[int, ...], tuple[tuple[object, ...], T]] = OrderedDict()

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> T:
        found = self._answers.get(tuple(map(id, args)))
        return found[1] if found else self.keep(self._made(*args, **kwargs), *args)

    def keep(self, answer: T, *args: object) -> T:
        """Keep an answer that is known already; the inputs are held, so that their ids stay theirs."""
        self._answers[tuple(map(id, args))] = args, answer
        while len(self._answers) > self._size:
            self._answers.popitem(last=False)
        return answer

    def cache_clear(self) -> None:
        """Forget all."""
        self._answers.clear()
