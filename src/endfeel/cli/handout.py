"""`endfeel handout CASE`: the home programme on one or two pages."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

_FORMS = ("pdf", "html", "txt")


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="a case file (.txt or .toml), or - for standard input")
    parser.add_argument("--out", metavar="FILE", help="where to write it: .pdf, .html or .txt (default: text, printed)")
    parser.add_argument("--language", default="en", help="en or de (default en)")
    parser.add_argument("--large", action="store_true", help="large type")
    parser.add_argument("--exercise", action="append", metavar="ID", help="these exercises instead of those chosen")
    parser.add_argument("--date", default="", metavar="YYYY-MM-DD", help="day on the sheet's record (PDF/A needs one)")


def run(options: argparse.Namespace) -> int:
    """Write the sheet. Refused while safety withholds treatment."""
    from endfeel.cli.case_file import open_case
    from endfeel.documents import compose_handout, handout_html, handout_pdf, handout_text
    from endfeel.evidence.load import load_library
    from endfeel.inference import build_model, infer
    from endfeel.safety import verdict
    from endfeel.treatment import decide, home_programme
    from endfeel.vocabulary import CannotRead, Fault

    form = Path(options.out).suffix.removeprefix(".").lower() if options.out else "txt"
    if form not in _FORMS:
        raise CannotRead(
            [Fault("no such kind of file", read=options.out, would_do="a name that ends in .pdf, .html or .txt")]
        )
    library = load_library()
    case = open_case(options.case, library)
    judged, posterior = verdict(case, library), infer(case, build_model(library))
    programme = home_programme(posterior, decide(posterior, library, judged), judged, library, options.exercise)
    sheet = compose_handout(
        programme, library, language=options.language, written_at=options.date, invented=case.invented,
        large=options.large,
    )  # fmt: skip
    if form == "pdf":
        Path(options.out).write_bytes(handout_pdf(sheet))
    elif options.out:
        Path(options.out).write_text(handout_html(sheet) if form == "html" else handout_text(sheet), encoding="utf-8")
    else:
        sys.stdout.write(handout_text(sheet))
        return 0
    names = ", ".join(one.name for one in sheet.exercises)
    print(f"{options.out}: {names}. {sheet.reading}")
    return 0
