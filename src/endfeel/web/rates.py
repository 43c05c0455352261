"""How much one address may ask for in a minute. This machine itself is not counted."""

from __future__ import annotations

import ipaddress

from fastapi import Request
from limits import RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import SlidingWindowCounterRateLimiter

USUAL = 1200
"""Requests a minute: a visit asks for about ten when it opens and one every few seconds after; judgement, no source."""
SHARE_OF_POSTS = 4
"""One in so many may change something."""


class Rates:
    """Counts by address, in memory, for this process. `a_minute` 0 counts nothing."""

    def __init__(self, a_minute: int = USUAL) -> None:
        self._all = RateLimitItemPerMinute(a_minute) if a_minute else None
        self._posts = RateLimitItemPerMinute(max(1, a_minute // SHARE_OF_POSTS))
        self._counter = SlidingWindowCounterRateLimiter(MemoryStorage())

    def allow(self, request: Request, *, changes: bool) -> bool:
        """Count a request; whether it may go on."""
        address = request.client.host if request.client else ""
        if self._all is None or is_this_machine(address) or request.url.path.startswith("/static/"):
            return True
        fine = self._counter.hit(self._all, address)
        return (self._counter.hit(self._posts, "changes", address) if changes else True) and fine


def is_this_machine(address: str) -> bool:
    """Whether an address is a loopback one."""
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False
