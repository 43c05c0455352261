"""`endfeel evidence`: list the tables, search the figures, check the data files."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from endfeel.cli.terminal import print_json, style
from endfeel.vocabulary import CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.evidence.figures import Figure
    from endfeel.evidence.library import Library
    from endfeel.evidence.search import Hit

_LABELS = ("read", "memory", "practice")
_COLOURS = {"read": "good", "memory": "warn", "practice": "warn"}


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("words", nargs="*", metavar="WORDS", help="words that must all occur; without any, the tables")
    parser.add_argument("--topic", help="one topic only; the list of tables shows them")
    parser.add_argument("--provenance", choices=_LABELS, help="one label only")
    parser.add_argument("--id", metavar="FIGURE", help="one figure in full")
    parser.add_argument("--limit", type=int, default=12, help="how many rows to show (12)")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.add_argument("--check", action="store_true", help="check every data file; print every fault and the counts")
    parser.add_argument("--folder", type=Path, help="with --check: another folder of data files than the one shipped")
    parser.add_argument("--counts", metavar="FILE", type=Path, help="rewrite the table of counts in FILE")


def run(options: argparse.Namespace) -> int:
    if options.limit < 1:
        raise CannotRead([Fault("--limit must be at least 1", read=str(options.limit), would_do="for instance 12")])
    if options.check:
        return _check(options.folder, as_json=options.json)
    from endfeel.evidence.load import load_library

    library = load_library()
    if options.counts:
        return _rewrite_counts(options.counts, library)
    if options.id:
        return _show_one(options.id, library, as_json=options.json)
    if options.words or options.topic or options.provenance:
        return _search(options, library)
    return _list(library, as_json=options.json)


def _check(folder: Path | None, *, as_json: bool) -> int:
    from endfeel.evidence.census import census_rows
    from endfeel.evidence.check import check_files
    from endfeel.evidence.load import DataFiles, data_files

    files = DataFiles(data_files(folder))
    faults = check_files(files)
    rows = [] if files.faults() else census_rows(files.library())
    if as_json:
        print_json({"release": files.release, "faults": [fault.sentence() for fault in faults], "counts": rows})
        return 1 if faults else 0
    _print_rows(rows)
    for fault in faults:
        print(style(fault.sentence(), "danger", sys.stderr), file=sys.stderr)
    verdict = f"{len(faults)} faults" if faults else "no fault in any data file"
    print(style(f"Evidence release {files.release}: {verdict}", "danger" if faults else "good"))
    return 1 if faults else 0


def _print_rows(rows: list[tuple[str, ...]]) -> None:
    if not rows:
        return
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    for number, row in enumerate(rows):
        cells = [
            cell.ljust(width) if at < 2 else cell.rjust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        line = "  ".join(cells).rstrip()
        print(style(line, "head") if number in (0, len(rows) - 1) else line)


def _rewrite_counts(file: Path, library: Library) -> int:
    from endfeel.evidence.census import END, START, census_markdown

    text = file.read_text(encoding="utf-8")
    before, start, rest = text.partition(START)
    _, end, after = rest.partition(END)
    if not (start and end):
        raise CannotRead(
            [Fault("no place for the counts", file=str(file), would_do=f"a line {START} and a line {END}")]
        )
    file.write_text(before + census_markdown(library) + after, encoding="utf-8")
    return 0


def _list(library: Library, *, as_json: bool) -> int:
    from endfeel.evidence.census import census

    counts = census(library)
    if as_json:
        tables = [
            {
                "name": one.name,
                "title": one.title,
                "topic": one.topic,
                "entries": dict(one.entries),
                "figures": one.figures,
            }
            for one in counts
        ]
        print_json({"release": library.release, "tables": tables})
        return 0
    print(style(f"Evidence release {library.release}, {len(library.sources)} sources", "bold"))
    _print_rows(
        [
            ("file", "what", "topic", "entries", "figures"),
            *((one.name, one.title, one.topic, str(one.total), str(one.figures)) for one in counts),
            ("all", "", "", str(sum(one.total for one in counts)), str(sum(one.figures for one in counts))),
        ]
    )
    print("endfeel evidence WORDS searches; --topic, --provenance and --id narrow; --check looks for faults")
    return 0


def _show_one(figure_id: str, library: Library, *, as_json: bool) -> int:
    figure = library.figure(figure_id)
    if as_json:
        print_json({"release": library.release, **_figure_json(figure)})
        return 0
    from endfeel.evidence.cite import LEGEND, cite, interval_text

    print(style(figure.id, "head"))
    print(f"  {cite(figure)}")
    facts = {
        "unit": figure.unit,
        "interval": interval_text(figure),
        "n": str(figure.n or ""),
        "population": figure.population,
        "label": style(figure.provenance.label, _COLOURS[figure.provenance.label]),
        "source": f"{figure.source.id}: {figure.source.citation}",
        "address": figure.source.address or "none known",
        "note": figure.note,
    }
    for name, fact in facts.items():
        if fact:
            print(f"  {name:<11}{fact}")
    print(style(LEGEND, "dim"))
    return 0


def _search(options: argparse.Namespace, library: Library) -> int:
    from endfeel.evidence.figures import Provenance
    from endfeel.evidence.search import search

    label = Provenance.from_label(options.provenance) if options.provenance else None
    topics = sorted({*library.topics.values(), *(table.topic for table in library.tables.values())})
    if options.topic and options.topic not in topics:
        raise CannotRead([Fault("no such topic", read=options.topic, would_do=" | ".join(topics))])
    hits = search(library, options.words, topic=options.topic or "", provenance=label)
    shown = hits[: options.limit]
    if options.json:
        figures = [_figure_json(figure, hit) for hit in shown for figure in hit.figures]
        print_json({"release": library.release, "rows": len(hits), "shown": len(shown), "figures": figures})
        return 0 if hits else 1
    if not hits:
        asked = f" for '{' '.join(options.words)}'" if options.words else ""
        narrowed = " under this topic or provenance" if options.topic or options.provenance else ""
        print(f"endfeel: nothing found{asked}{narrowed}; fewer or shorter words may help, "
              "`endfeel evidence` lists the tables", file=sys.stderr)  # fmt: skip
        return 1
    for hit in shown:
        _print_hit(hit)
    from endfeel.evidence.cite import LEGEND

    more = f"; --limit {len(hits)} shows all" if len(hits) > len(shown) else ""
    print(style(f"{len(shown)} of {len(hits)} rows{more}. Release {library.release}", "bold"))
    print(style(LEGEND, "dim"))
    return 0


def _print_hit(hit: Hit) -> None:
    from endfeel.evidence.cite import MARKS, interval_text, value_text

    print(f"{style(hit.id, 'head')}  {hit.title}")
    mark = MARKS[hit.provenance]
    for figure in hit.figures:
        name = "" if figure.id == hit.id else figure.id.rsplit(".", 1)[-1] + " "
        interval = interval_text(figure)
        print(f"  {name}{mark}{value_text(figure)}{f' ({interval})' if interval else ''}")
    people = [
        f"n {hit.figures[0].n}" if hit.figures and hit.figures[0].n else "",
        hit.figures[0].population if hit.figures else "",
    ]
    label = style(hit.provenance.label, _COLOURS[hit.provenance.label])
    print("  " + " · ".join(part for part in (*people, label, hit.source.citation, hit.source.address) if part))
    if hit.doubt:
        print(style(f"  doubt: {hit.doubt}", "warn"))
    if hit.note:
        print(style(f"  {hit.note}", "dim"))


def _figure_json(figure: Figure, hit: Hit | None = None) -> dict[str, Any]:
    from endfeel.evidence.cite import MARKS, cite, number_or_none

    found: dict[str, Any] = {"id": figure.id, "about": hit.title} if hit else {"id": figure.id}
    return found | {
        "cited": cite(figure),
        "value": number_or_none(figure),
        "text": figure.text,
        "unit": figure.unit,
        "low": figure.low,
        "high": figure.high,
        "n": figure.n,
        "population": figure.population,
        "source": figure.source.id,
        "citation": figure.source.citation,
        "address": figure.source.address,
        "provenance": figure.provenance.label,
        "mark": MARKS[figure.provenance],
        "note": figure.note,
        **({"doubt": hit.doubt} if hit and hit.doubt else {}),
    }
