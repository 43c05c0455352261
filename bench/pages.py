"""From pressing Save to the new page: how long a finding takes over loopback, and where the time goes."""

from __future__ import annotations

import http.client
import json
import socket
import statistics
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from bench.browser import chromium
from endfeel import care
from endfeel.assessment import read_case
from endfeel.care.desk import Concluded
from endfeel.cli.machine import settle_memory
from endfeel.inference import infer
from endfeel.planner import next_tests, plan
from endfeel.safety import verdict
from endfeel.treatment import decide
from endfeel.vocabulary import Position

STORY = Path(__file__).parents[1] / "stories" / "first_visit.txt"
ROUNDS = 40
PRESSES = 60
SETTLED = 400
"""Milliseconds after which a picture that stands was drawn once more, finely."""
WARM = 3
"""Presses before those that count: scripts and store are then as in the middle of a visit."""
FRAGMENT = {"HX-Request": "true", "Content-Type": "application/x-www-form-urlencoded"}
AIM = "100 ms"


def run() -> Iterator[dict[str, str]]:
    """Rows of a whole save over HTTP, and of each part on the same case."""
    with tempfile.TemporaryDirectory() as folder:
        kept = care.open_desk(str(Path(folder) / "bench.sqlite"))
        desk = replace(kept, concluded=Concluded(most=0))  # every row is concluded anew
        case = read_case(STORY.read_text(encoding="utf-8"), STORY.name, desk.library)
        few = replace(case, findings=case.findings[:4], treatments=(), retests=())
        with _served(desk) as port:
            for what, written in (("a first visit so far, 4 findings", few), ("a full visit, 21 findings", case)):
                visit = care.import_case(desk, written)
                yield _keeping(port, visit, what)
                yield _saving(port, visit, what)
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
            ("the same asked again, nothing recorded since", lambda: care.view_visit(kept, visit)),
            ("reasons, asked for after the page is there", lambda: infer(case, desk.model).explanation),
        ):
            yield _part(what, act)
        settle_memory()  # as the served program does
        with _served(desk) as port:
            address = f"http://127.0.0.1:{port}/"
            for what, written in (("4 findings so far", few), ("21 findings so far", case)):
                yield from _in_browser(address, care.import_case(desk, written), what)
            yield _first_page(address)
        desk.engine.dispose()


_PRESS = """(number) => new Promise((done) => {
  const said = document.getElementById("said");
  let kept = 0;
  const began = performance.now();
  const painted = (act) => requestAnimationFrame(() => setTimeout(act));
  new MutationObserver((_, watch) => {
    if (!said.textContent.includes("Saved")) return;
    watch.disconnect();
    painted(() => { kept = performance.now() - began; });
  }).observe(said, { childList: true, subtree: true, characterData: true });
  document.addEventListener("endfeel:shown", () => painted(() => {
    const whole = performance.now() - began;
    const reasons = () => document.querySelector("#why[aria-busy]") ? requestAnimationFrame(reasons)
      : done([kept, whole, performance.now() - began]);
    requestAnimationFrame(reasons);
  }), { once: true });
  document.querySelector(`button[name=hurt][value="familiar ${1 + number % 9}"]`).click();
})"""
_TO_TEST = """(address) => {
  const link = Object.assign(document.createElement("a"), { href: address });
  link.dataset.front = "now";
  document.getElementById("visit").append(link);
  link.click();
}"""
_AT_REST = "#visit:has([data-drawn][data-state=standing], [data-drawn][data-state=still]):has(#why:not([aria-busy]))"


def _in_browser(address: str, visit: str, what: str) -> Iterator[dict[str, str]]:
    """From the press to what is painted: that it is kept and what safety says; the whole visit; the reasons."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1024, "height": 1366})
        test = f"{address}visits/{visit}?do=hawkins&side=right"
        page.goto(test, wait_until="networkidle")
        page.wait_for_timeout(4000)  # the forms for a lost connection are made once, and stay
        times = []
        for number in range(WARM + PRESSES):
            page.evaluate(_TO_TEST, test)  # the page stays open, as in a visit
            page.wait_for_selector("#now:has([name=procedure][value=hawkins])")
            page.wait_for_selector(_AT_REST)
            page.wait_for_timeout(SETTLED)
            spent = page.evaluate(_PRESS, number)
            times += [spent] if number >= WARM else []
            page.locator("#said").get_by_role("button", name="Undo this").click()
            page.locator("#said", has_text="Taken back").wait_for()
        for name, aim, each in (
            ("kept and what safety says, painted", AIM, [one[0] / 1000 for one in times]),
            ("the whole visit updated, painted", AIM, [one[1] / 1000 for one in times]),
            ("the reasons, line by line, painted after it", "", [one[2] / 1000 for one in times]),
        ):
            spent = sorted(each)
            note = f"median {_ms(statistics.median(spent))}, {PRESSES} presses in Chromium; {what}"
            p95 = _ms(spent[round(0.95 * (PRESSES - 1))])
            yield {"what": f"finding pressed → {name}, p95", "measured": p95, "aim": aim, "note": note}
        browser.close()


def _first_page(address: str) -> dict[str, str]:
    from playwright.sync_api import sync_playwright

    cold = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=["--no-sandbox"])
        for _ in range(5):
            context = browser.new_context()
            first = context.new_page()
            began = time.perf_counter()
            first.goto(address, wait_until="load")
            cold.append(time.perf_counter() - began)
            context.close()
        browser.close()
    note = "median of 5, nothing cached, people and visits on record"
    return {"what": "first page, cold cache", "measured": _ms(statistics.median(cold)), "aim": "1 s", "note": note}


def _keeping(port: int, visit: str, what: str) -> dict[str, str]:
    """The first of the two answers: that it is kept, and what safety says."""
    seconds = []
    for number in range(ROUNDS):
        fields = {"procedure": "hawkins", "side": "right", "result": "positive", "pain": str(number % 10)}
        entry = {"id": care.new_id(), "what": "findings", "fields": fields}
        seconds.append(_post(port, f"/visits/{visit}/arrivals", {"entries": [entry]}))
        _post(port, f"/visits/{visit}/undo", {})
    seconds.sort()
    note = f"median {_ms(statistics.median(seconds))}, {ROUNDS} saves over loopback; {what}"
    p95 = _ms(seconds[round(0.95 * (len(seconds) - 1))])
    return {"what": "finding sent → kept, and what safety says, p95", "measured": p95, "aim": AIM, "note": note}


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


def _post(port: int, path: str, given: dict[str, Any]) -> float:
    connection = http.client.HTTPConnection("127.0.0.1", port)
    as_json = path.endswith("/arrivals")
    began = time.perf_counter()
    if as_json:
        connection.request("POST", path, json.dumps(given), {"Content-Type": "application/json"})
    else:
        connection.request("POST", path, urlencode(given), FRAGMENT)
    answer = connection.getresponse()
    answer.read()
    took = time.perf_counter() - began
    connection.close()
    if answer.status != 200:
        raise RuntimeError(f"{path} answered {answer.status}")
    return took


def _part(what: str, act: Callable[[], object]) -> dict[str, str]:
    seconds, spent = [], []
    for _ in range(9):
        began, processor = time.perf_counter(), time.process_time()
        act()
        seconds.append(time.perf_counter() - began)
        spent.append(time.process_time() - processor)
    return {
        "what": f"of it: {what}",
        "measured": _ms(statistics.median(seconds)),
        "aim": "",
        "note": f"full visit, median of 9; processor {_ms(statistics.median(spent))}",
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
