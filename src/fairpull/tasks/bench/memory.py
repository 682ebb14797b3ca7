"""A bounded memory of this process: what was computed once is handed out again, each thing made by one thread only."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from threading import Lock
from typing import Generic, TypeVar

T = TypeVar("T")
Still = Callable[[], bool]


class Memory(Generic[T]):
    """Answers by key, the longest unused forgotten first.

    Attributes:
        made: how many answers were computed; given: how many were handed out without computing.
    """

    def __init__(self, most: int, weigh: Callable[[T], int] | None = None) -> None:
        """An empty memory.

        Args:
            most: what all answers together may weigh.
            weigh: weight of one answer; None: each weighs one, so that ``most`` is a count.
        """
        self._most = most
        self._weigh = weigh or (lambda _: 1)
        self._kept: OrderedDict[str, tuple[T, int]] = OrderedDict()
        self._weight = 0
        self._coming: dict[str, Future[T]] = {}
        self._lock = Lock()
        self.made = 0
        self.given = 0

    def __len__(self) -> int:
        return len(self._kept)

    @property
    def weight(self) -> int:
        """What all kept answers weigh together."""
        return self._weight

    def get(self, key: str, make: Callable[[], T], still: Still | None = None) -> T:
        """The answer to a key; made where it is not kept, by one thread while others that ask wait for it.

        Args:
            key: everything that decides the answer.
            make: computes it. What it raises goes to everybody who waits, and nothing is kept.
            still: asked when the answer is made: whether the key still stands for what it was made of. Where it says
                no, the answer is handed out and not kept.

        Returns:
            The answer; the same object for everybody, so nobody may change it.
        """
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                self.given += 1
                return self._kept[key][0]
            coming = self._coming.get(key)
            own = coming is None
            if coming is None:
                coming = self._coming[key] = Future()
            else:
                self.given += 1
        return self._make(key, make, still, coming) if own else coming.result()

    def forget(self) -> None:
        """Drop every answer."""
        with self._lock:
            self._kept.clear()
            self._weight = 0

    def _make(self, key: str, make: Callable[[], T], still: Still | None, coming: Future[T]) -> T:
        try:
            answer = make()
            keep = still is None or still()
        except BaseException as error:
            with self._lock:
                del self._coming[key]
            coming.set_exception(error)
            raise
        with self._lock:
            del self._coming[key]
            self.made += 1
            if keep:
                self._keep(key, answer)
        coming.set_result(answer)
        return answer

    def _keep(self, key: str, answer: T) -> None:
        weight = self._weigh(answer)
        if weight > self._most:
            return
        self._kept[key] = (answer, weight)
        self._weight += weight
        while self._weight > self._most:
            _, (_, dropped) = self._kept.popitem(last=False)
            self._weight -= dropped
