"""From pressing Save to the new page: how long a finding takes over loopback, and where the time goes."""

from __future__ import annotations

import http.client
import socket
import statistics
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlencode

from endfeel import care
from endfeel.assessment import read_case
from endfeel.inference import infer
from endfeel.planner import next_tests, plan
from endfeel.safety import verdict
from endfeel.treatment import decide
from endfeel.vocabulary import Position

STORY = Path(__file__).parents[1] / "stories" / "first_visit.txt"
ROUNDS = 40
FRAGMENT = {"HX-Request": "true", "Content-Type": "application/x-www-form-urlencoded"}
AIM = "100 ms"


def run() -> Iterator[dict[str, str]]:
    """Rows of a whole save over HTTP, and of each part on the same case."""
    with tempfile.TemporaryDirectory() as folder:
        desk = care.open_desk(str(Path(folder) / "bench.sqlite"))
        case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, desk.library)
        few = replace(case, findings=case.findings[:4], treatments=(), retests=())
        with _served(desk) as port:
            for what, written in (("a first visit so far, 4 findings", few), ("a full visit, 21 findings", case)):
                yield _saving(port, care.import_case(desk, written), what)
        safe, posterior = verdict(case, desk.library), infer(case, desk.model)
        wanted = {"position": Position.SITTING, "decision": decide(posterior, desk.library, safe)}
        visit = care.import_case(desk, case)
        for what, act in (
            ("safety verdict", lambda: verdict(case, desk.library)),
            ("posterior with intervals", lambda: infer(case, desk.model)),
            ("what it calls for", lambda: decide(posterior, desk.library, safe)),
            ("plan", lambda: plan(case, posterior, safe, desk.library, 20.0, **wanted)),
            ("next tests", lambda: next_tests(case, posterior, safe, desk.library, **wanted)),
            ("reading the visit and all of the above", lambda: care.view_visit(desk, visit)),
            ("reasons, asked for after the page is there", lambda: infer(case, desk.model).explanation),
        ):
            yield _part(what, act)
        desk.engine.dispose()


def _saving(port: int, visit: str, what: str) -> dict[str, str]:
    seconds = []
    for number in range(ROUNDS):
        given = {"procedure": "hawkins", "side": "right", "result": "positive", "pain": str(number % 10)}
        seconds.append(_post(port, f"/visits/{visit}/findings", given))
        _post(port, f"/visits/{visit}/undo", {})
    seconds.sort()
    p95 = seconds[round(0.95 * (len(seconds) - 1))]
    note = f"median {_ms(statistics.median(seconds))}, {ROUNDS} saves over loopback; {what}"
    return {"what": "finding saved → page updated, p95", "measured": _ms(p95), "aim": AIM, "note": note}


def _post(port: int, path: str, given: dict[str, str]) -> float:
    connection = http.client.HTTPConnection("127.0.0.1", port)
    began = time.perf_counter()
    connection.request("POST", path, urlencode(given), FRAGMENT)
    answer = connection.getresponse()
    answer.read()
    took = time.perf_counter() - began
    connection.close()
    if answer.status != 200:
        raise RuntimeError(f"{path} answered {answer.status}")
    return took


def _part(what: str, act: Callable[[], object]) -> dict[str, str]:
    seconds = []
    for _ in range(9):
        began = time.perf_counter()
        act()
        seconds.append(time.perf_counter() - began)
    return {
        "what": f"of it: {what}",
        "measured": _ms(statistics.median(seconds)),
        "aim": "",
        "note": "full visit, median of 9",
    }


@contextmanager
def _served(desk: care.Desk) -> Iterator[int]:
    import uvicorn

    from endfeel.web.app import make_app

    listening = socket.create_server(("127.0.0.1", 0))
    server = uvicorn.Server(uvicorn.Config(make_app(desk), log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    try:
        yield listening.getsockname()[1]
    finally:
        server.should_exit = True
        thread.join(timeout=10)


def _ms(seconds: float) -> str:
    return f"{1000 * seconds:.0f} ms"
