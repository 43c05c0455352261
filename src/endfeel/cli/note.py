"""`endfeel note`: the note of a case as text, HTML or PDF."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from endfeel.cli.case_file import checked_minutes, open_case
from endfeel.cli.own_hands import add_hands, model_for


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="case file (.txt or .toml)")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--text", action="store_true", help="plain text on standard output (the default)")
    form.add_argument("--html", action="store_true", help="a whole HTML page on standard output")
    form.add_argument("--pdf", type=Path, metavar="FILE", help="write a PDF to FILE")
    add_hands(parser)
    parser.add_argument("--minutes", type=float, default=20.0, help="examination time there still is (default 20)")


def run(options: argparse.Namespace) -> int:
    """Assess the case, compose the note, print or write it. The note is an unsigned draft."""
    from endfeel.assessment import assess
    from endfeel.documents import compose_note, note_html, note_pdf, note_text
    from endfeel.evidence.load import load_library

    minutes = checked_minutes(options.minutes)
    library = load_library()
    case = open_case(options.case, library)
    model, own = model_for(options, case, library)
    assessment = assess(case, library, minutes, model=model)
    if own:
        caveats = (*assessment.posterior.caveats, " ".join((own[0], "; ".join(own[1:]))).rstrip())
        assessment = replace(assessment, posterior=replace(assessment.posterior, caveats=caveats))
    note = compose_note(assessment, library=library)
    if options.pdf:
        options.pdf.write_bytes(note_pdf(note))
        print(f"Note (PDF): {options.pdf}", file=sys.stderr)
    else:
        sys.stdout.write(note_html(note) if options.html else note_text(note))
    return 0
