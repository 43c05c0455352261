"""Around every request: how long it took, how it ended, by the pattern of its address. Told to the journal and counted.

A pattern is `/visits/{visit_id}`: neither journal nor counts ever hold the id of anybody or a word of a form.
"""

from __future__ import annotations

import time
import uuid
from collections.abc import Callable
from datetime import datetime

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from endfeel.web.journal import FACTS, requests

SECONDS = (0.005, 0.01, 0.025, 0.05, 0.1, 0.15, 0.25, 0.5, 1, 2.5, 5, 10)
"""Upper ends of the bins of how long an answer took."""
NOWHERE, FILES = "no such page", "/static"
METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "PATCH"})


class Counts:
    """What is counted, in a registry of its own; read by `endfeel serve --metrics`."""

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        self.took = Histogram(
            "endfeel_answer_seconds",
            "How long answers took",
            ("method", "route", "status"),
            buckets=SECONDS,
            registry=self.registry,
        )
        self.now = Gauge("endfeel_requests_in_progress", "Requests being answered now", registry=self.registry)
        self.bugs = Counter("endfeel_unexpected_errors", "Answers that were a bug of ours", registry=self.registry)
        self.refused = Counter("endfeel_refused", "Requests refused before any page", ("why",), registry=self.registry)

    def told_of_backups(self, newest: Callable[[], datetime | None]) -> None:
        """Tell the moment of the newest backup too, asked for when the counts are read; 0 where there is none."""
        told = Gauge("endfeel_newest_backup_timestamp_seconds", "Moment of the newest backup", registry=self.registry)
        told.set_function(lambda: made.timestamp() if (made := newest()) else 0.0)


class Watch:
    """The outermost layer of the application."""

    def __init__(self, app: ASGIApp, counts: Counts) -> None:
        self._app, self._counts = app, counts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on what is no request; watch what is."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        status, began, reference = 500, time.perf_counter(), uuid.uuid4().hex[:12]

        async def sending(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                message["headers"] = [*message.get("headers", ()), (b"x-request-id", reference.encode())]
            await send(message)

        try:
            with self._counts.now.track_inprogress():
                await self._app(scope, receive, sending)
        finally:
            took = time.perf_counter() - began
            method = scope["method"] if scope["method"] in METHODS else "other"
            route = _pattern(scope)
            self._counts.took.labels(method, route, str(status)).observe(took)
            if status == 500:
                self._counts.bugs.inc()
            facts = {"method": method, "route": route, "status": status, "ms": round(1000 * took, 1),
                     "request": reference}  # fmt: skip
            requests.info("answered", extra={FACTS: facts})


def _pattern(scope: Scope) -> str:
    """The pattern that the address matched; never the address itself."""
    route = scope.get("route")
    if route is not None:
        return str(getattr(route, "path", NOWHERE))
    return FILES if scope.get("path", "").startswith(f"{FILES}/") else NOWHERE
