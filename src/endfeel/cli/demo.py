"""`endfeel demo`: the invented example, seeded in the store and taken through the main job."""

from __future__ import annotations

import argparse
import sys
import time
from importlib import resources
from pathlib import Path

from endfeel.cli.case_file import checked_minutes
from endfeel.cli.passphrase import AtTerminal
from endfeel.cli.terminal import style

EXAMPLE = "first_visit.txt"


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--serve", action="store_true", help="open the pages with the example afterwards")
    parser.add_argument("--store", help="database address or SQLite file (default: var/demo.sqlite)")
    parser.add_argument("--minutes", type=float, default=20.0, help="examination time there is (default 20)")
    parser.add_argument("--note", type=Path, default=Path("var/example-note.pdf"), help="where the note PDF goes")


def run(options: argparse.Namespace) -> int:
    """Seed, reason, plan, re-test, write; say how to open the pages."""
    from endfeel import care
    from endfeel.assessment import assess, read_case
    from endfeel.cli.plan import before_hands, print_comparison, print_plan
    from endfeel.cli.reason import print_assessment, print_retests
    from endfeel.planner import compare_with_textbook

    minutes = checked_minutes(options.minutes)
    began = time.perf_counter()
    store = options.store or str(Path("var/demo.sqlite"))
    Path("var").mkdir(exist_ok=True)
    _step(1, "reading the evidence and opening the store")
    desk = care.open_desk(store, keeper=AtTerminal(), unencrypted=True)
    _step(2, f"seeding the invented example into {store}")
    text = (resources.files("endfeel") / "examples" / EXAMPLE).read_text(encoding="utf-8")
    case = read_case(text, EXAMPLE, desk.library)
    visit_id = care.import_case(desk, case)
    _step(3, "safety, contributors, plan, re-test")
    view = care.view_visit(desk, visit_id, minutes)
    print(file=sys.stderr)
    print(style("INVENTED EXAMPLE: no real person, made for this demonstration", "bold"))
    start = assess(before_hands(case), desk.library, minutes, model=desk.model, tight_bound=True)
    print(style("\nBefore hands are laid on: what the story calls for", "head"))
    print_plan(start)
    print_comparison(compare_with_textbook(start.case, start.posterior, start.verdict, desk.library))
    print(style("\nAfter the examination", "head"))
    print_assessment(view.assessment)
    print_plan(view.assessment)
    print_retests(view.assessment)
    _step(4, "writing the note")
    options.note.parent.mkdir(parents=True, exist_ok=True)
    options.note.write_bytes(care.note_pdf(desk, visit_id))
    print()
    print(f"Note (PDF): {options.note}")
    print(f"Pages:      endfeel serve --store {store}    or: make demo ARGS=--serve")
    print(style(f"Done in {time.perf_counter() - began:.1f} s.", "dim"))
    if options.serve:
        from endfeel.cli.serve import serve_store

        return serve_store(store)
    return 0


def _step(number: int, what: str) -> None:
    print(style(f"[{number}/4] {what}", "dim", sys.stderr), file=sys.stderr, flush=True)
