"""A short memory of what is costly to make."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from typing import TypeVar, cast

T = TypeVar("T")


class Recent:
    """The last few things made, by name, so that the next finding and the next plan need not make them anew."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[object, object] = OrderedDict()

    def recall(self, name: object, make: Callable[[], T]) -> T:
        """What `make` gives for this name, taken from the last few when it is among them."""
        try:
            return cast(T, self._kept[name])
        except KeyError:
            made = make()
        self._kept[name] = made
        while len(self._kept) > self._most:
            self._kept.popitem(last=False)
        return made
