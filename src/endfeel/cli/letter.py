"""`endfeel letter CASE…`: follow-up note, referral letter, discharge summary or insurer summary of written cases."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

KINDS = ("referral", "follow-up", "discharge", "insurer")


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "case", metavar="CASE", nargs="+", help="case files of one episode, a visit each, the oldest first"
    )
    parser.add_argument("--kind", choices=KINDS, default="referral", help="which document (default: referral)")
    parser.add_argument("--to", default="", metavar="WHO", help="who reads it")
    parser.add_argument("--reference", default="", metavar="NUMBER", help="the reader's own number for it")
    parser.add_argument("--ask", default="", metavar="WORDS", help="what is asked of the reader")
    parser.add_argument("--told", default="", metavar="WORDS", help="what the person was told")
    parser.add_argument("--closing", default="", metavar="WORDS", help="why the episode ends (discharge)")
    parser.add_argument("--code", action="append", default=[], metavar="CODE", help="confirm a suggested code")
    parser.add_argument("--by", default="", metavar="NAME", help="who writes it; it stays a draft")
    parser.add_argument("--date", default="", metavar="YYYY-MM-DD", help="day of the document (PDF/A needs one)")
    parser.add_argument("--day", action="append", default=[], metavar="YYYY-MM-DD", help="day of each visit, in order")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--text", action="store_true", help="plain text on standard output (the default)")
    form.add_argument("--html", action="store_true", help="a whole HTML page on standard output")
    form.add_argument("--pdf", type=Path, metavar="FILE", help="write a PDF to FILE")


def run(options: argparse.Namespace) -> int:
    """Read the visits, conclude on the last, write the document. It is an unsigned draft."""
    from endfeel.assessment import assess, confirmed_codes, suggested_codes
    from endfeel.cli.case_file import open_case
    from endfeel.documents import (
        DocumentKind,
        EpisodeOfCare,
        LetterWords,
        PastVisit,
        Written,
        compose_letter,
        note_html,
        note_pdf,
        note_text,
    )
    from endfeel.evidence.load import load_library
    from endfeel.follow import last_examination
    from endfeel.follow.courses import parameter
    from endfeel.safety import verdict

    days = _days(options)
    library = load_library()
    cases = [open_case(path, library) for path in options.case]
    found = assess(cases[-1], library)
    visits = tuple(PastVisit(day, case, verdict(case, library)) for day, case in zip(days, cases, strict=True))
    last = last_examination([case.findings for case in cases], parameter(library, "whole_share"))
    examined = (last + 1, assess(cases[last], library)) if last < len(cases) - 1 else None
    episode = EpisodeOfCare(visits, found, examined=examined)
    words = LetterWords(
        options.to, options.reference, options.ask, options.told, options.closing,
        confirmed_codes(suggested_codes(episode.thought.posterior, library), options.code),
    )  # fmt: skip
    written = Written(options.date, options.by)
    letter = compose_letter(DocumentKind(options.kind), episode, words, written, library)
    if options.pdf:
        options.pdf.write_bytes(note_pdf(letter))
        print(f"{letter.title} (PDF): {options.pdf}", file=sys.stderr)
    else:
        sys.stdout.write(note_html(letter) if options.html else note_text(letter))
    return 0


def _days(options: argparse.Namespace) -> list[str]:
    """The day of each visit, or none at all. Raises CannotRead for what is no day, missing, or out of order."""
    from datetime import date

    from endfeel.vocabulary import CannotRead, Fault

    faults = []
    for word in [*options.day, *([options.date] if options.date else [])]:
        try:
            date.fromisoformat(word)
        except ValueError:
            faults.append(Fault("not a day", read=word, would_do="YYYY-MM-DD, for instance 2026-03-04"))
    if not faults and options.day and len(options.day) != len(options.case):
        told = f"{len(options.day)} for {len(options.case)} visits"
        faults.append(
            Fault("not one day for each visit", read=told, would_do="--day once for each CASE, or not at all")
        )
    if not faults and options.day != sorted(options.day):
        faults.append(Fault("visits in the wrong order", read=" ".join(options.day), would_do="the oldest visit first"))
    if faults:
        raise CannotRead(faults)
    return list(options.day) or [""] * len(options.case)
