"""How fluently the drawn shoulder turns in a browser without a graphics card, and how long its scene takes to make."""

from __future__ import annotations

import os
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bench.browser import chromium
from endfeel import care
from endfeel.evidence.load import load_library
from endfeel.pictures.drawn import drawn_scene, model_of, still_picture, surfaces
from endfeel.pictures.strain_scale import scale_of
from endfeel.vocabulary import Side

WIDE, HIGH, FRAMES = 800, 600, 120
PROCEDURES = ("gh_post", "gh_er_90", "st_upward", "sc_inf_lat")
TURN = """async (frames) => {
  const stage = document.querySelector("[data-drawn]").drawn;
  const canvas = stage.canvas, gl = stage.renderer.getContext(), pixel = new Uint8Array(4);
  const box = canvas.parentElement.getBoundingClientRect();
  const spent = [];
  for (let frame = 0; frame < frames; frame += 1) {
    const start = performance.now();
    stage.turn(0.05);
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel);
    spent.push(performance.now() - start);
    if (frame % 10 === 9) await new Promise(requestAnimationFrame);
  }
  return {spent, slow: stage.slow, wide: box.width, high: box.height, triangles: stage.renderer.info.render.triangles};
}"""
SIZED = f".drawn-stage {{ width: {WIDE}px !important; height: {HIGH}px !important; max-width: none !important; }}"


def run() -> Iterator[dict[str, str]]:
    """Rows of frames a second by procedure, and of what the program needs before the first."""
    yield from _made()
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        desk = care.open_desk(str(Path(folder) / "bench.sqlite"))
        browser = playwright.chromium.launch(executable_path=chromium(), args=["--no-sandbox"])
        page = browser.new_page(
            viewport={"width": 1900, "height": 1000}, reduced_motion="reduce", bypass_csp=True, device_scale_factor=1
        )
        with _served(desk) as address:
            for procedure in PROCEDURES:
                page.goto(f"{address}/shoulder?procedure={procedure}")
                page.wait_for_selector("[data-drawn][data-state=standing]", timeout=120_000)
                page.add_style_tag(content=SIZED)
                page.wait_for_timeout(300)
                before = _children_seconds()
                told = page.evaluate(TURN, FRAMES)
                work = 1000.0 * (_children_seconds() - before) / FRAMES
                spent = sorted(told["spent"])
                median, best = statistics.median(spent), spent[len(spent) // 20]
                yield {
                    "what": f"drawn shoulder turning, {told['wide']:.0f} × {told['high']:.0f}, {procedure}",
                    "measured": f"{1000.0 / median:.0f} frames a second, median of {FRAMES}",
                    "aim": "30",
                    "note": f"{median:.0f} ms a frame, fastest twentieth {best:.0f} ms, {work:.0f} ms of processor; "
                    f"{told['triangles']:,} triangles, {'software rendering' if told['slow'] else 'graphics card'}",
                }
        browser.close()
        desk.engine.dispose()


def _made() -> Iterator[dict[str, str]]:
    library = load_library()
    model = model_of(library)
    scale = scale_of(library, model.shoulders.parameters)
    shapes = surfaces(model, Side.RIGHT)
    scenes, pictures = [], []
    for procedure in PROCEDURES:
        start = time.perf_counter()
        scene = drawn_scene(model, procedure, Side.RIGHT)
        scenes.append(time.perf_counter() - start)
        start = time.perf_counter()
        still_picture(scene, shapes, scale)
        pictures.append(time.perf_counter() - start)
    for what, spent in (("scene of one procedure", scenes), ("the same as a still picture", pictures)):
        yield {
            "what": what,
            "measured": f"{1000.0 * statistics.median(spent):.0f} ms",
            "note": "median of four, kept after",
        }


def _children_seconds() -> float:
    """Processor time of every process that descends from this one: the browser's, on a machine that others use too."""
    told = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            after = stat.read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()
        except OSError:
            continue
        told[int(stat.parent.name)] = (int(after[1]), int(after[11]) + int(after[12]))
    family, ticks = {os.getpid()}, 0
    while True:
        found = {pid for pid, (parent, _) in told.items() if parent in family and pid not in family}
        if not found:
            return ticks / os.sysconf("SC_CLK_TCK")
        family |= found
        ticks += sum(told[pid][1] for pid in found)


@contextmanager
def _served(desk: care.Desk) -> Iterator[str]:
    import uvicorn

    from endfeel.web.app import make_app

    server = uvicorn.Server(uvicorn.Config(make_app(desk), port=0, log_level="error"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.05)
    port = server.servers[0].sockets[0].getsockname()[1]
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join()
