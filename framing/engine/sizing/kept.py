"""Answers kept for the latest inputs: the same objects are known at once, equal ones by their value.

Telling whole floors apart by value reads every member; within one run a floor's parts are the same objects.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from functools import lru_cache
from typing import Generic, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")


class Kept(Generic[P, T]):
    """A function of frozen inputs that keeps its latest answers."""

    def __init__(self, made: Callable[P, T], size: int) -> None:
        self.__doc__ = made.__doc__
        self._size = size
        self._by_value = lru_cache(maxsize=size)(made)
        self._by_object: OrderedDict[tuple[int, ...], tuple[tuple[object, ...], T]] = OrderedDict()

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> T:
        if kwargs:
            raise TypeError("inputs go by place")
        key = tuple(map(id, args))
        found = self._by_object.get(key)
        if found is None:
            found = args, self._by_value(*args)
            self._by_object[key] = found  # holds the inputs, so that their ids stay theirs
            while len(self._by_object) > self._size:
                self._by_object.popitem(last=False)
        return found[1]

    def cache_clear(self) -> None:
        """Forget all."""
        self._by_object.clear()
        self._by_value.cache_clear()
