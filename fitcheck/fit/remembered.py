"""What was worked out lately is remembered, so that only what an edit changed is worked out anew.

There is one list for all of it. A recipe is known by its values, and what hangs on a folded part
or on walls by those very ones, which stay the same as long as their recipe is remembered.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar

T = TypeVar("T")

MOST = 64
"""So much is remembered, what was not asked for longest forgotten first: a check takes about ten,
so the last half dozen edits can be taken back at once, in a few megabytes."""


class Memory:
    """A bounded list of what was worked out, by what it was worked out of; threads may share it."""

    def __init__(self, most: int) -> None:
        """For so much at the most."""
        self.most = most
        self._known: OrderedDict[Hashable, Any] = OrderedDict()
        self._lock = threading.Lock()

    def __len__(self) -> int:
        return len(self._known)

    def of(self, key: Hashable, work: Callable[[], T]) -> T:
        """What `work` gives, as it was known by a key of all that it hangs on, or worked out now.

        Errors are not remembered. What cannot be a key, as a style from elsewhere may have lists
        among its values, is worked out each time.
        """
        try:
            with self._lock:
                if key in self._known:
                    self._known.move_to_end(key)
                    known: T = self._known[key]
                    return known
        except TypeError:
            return work()
        found = work()
        with self._lock:
            self._known[key] = found
            while len(self._known) > self.most:
                self._known.popitem(last=False)
        return found

    def forget(self) -> None:
        """Work everything out anew from here on."""
        with self._lock:
            self._known.clear()


MEMORY = Memory(MOST)
"""What checks remember."""
