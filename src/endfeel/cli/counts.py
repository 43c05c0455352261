"""`endfeel counts`: tests against what turned out: here beside the published; told to other sites; merged."""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from endfeel.cli.case_file import case_text_of
from endfeel.cli.passphrase import AtTerminal, add_store
from endfeel.cli.terminal import footer, print_json, say, style
from endfeel.vocabulary import CAUTIONS, CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.exchange.local_counts import SiteCounts
    from endfeel.inference.local_counts import Share

WANTED = "a file of local counts (docs/local_counts.md)"


def configure(parser: argparse.ArgumentParser) -> None:
    add_store(parser)
    parser.add_argument("--out", type=Path, metavar="FILE", help="write the counts that may leave, for other sites")
    parser.add_argument("--site", default="", metavar="CODE", help="a code of your own for this site; no name")
    parser.add_argument("--earlier", metavar="FILE", help="what was sent last time: small growth since stays here")
    parser.add_argument(
        "--fewest", type=int, metavar="N", help="no count of fewer people leaves (never below the stated)"
    )
    parser.add_argument("--merge", nargs="+", metavar="FILE", help="put files of several sites together")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Show, write or merge counts; people never leave."""
    if options.merge:
        return _merge(options)
    from endfeel.care import open_desk

    desk = open_desk(options.store, keeper=AtTerminal())
    try:
        return _write(options, desk) if options.out else _show(options, desk)
    finally:
        desk.engine.dispose()


def _show(options: argparse.Namespace, desk) -> int:  # type: ignore[no-untyped-def]
    from endfeel.care.outcomes import local_evidence
    from endfeel.caseload.report import names_of

    told = local_evidence(desk)
    if options.json:
        print_json(
            {"tests": [asdict(one) for one in told], "release": desk.library.release, "cautions": list(CAUTIONS)}
        )
        return 0
    names = names_of(desk.library)
    if not told:
        say("Nothing is counted yet: it needs people who agreed to shared counts, and what turned out with them.")
    for one in told:
        print(style(f"{names.get(one.key[0], one.key[0])}, {one.key[1]}: {names.get(one.contributor)}", "bold"))
        say(f"by {one.reference}: {one.counts.tp} of {one.counts.ill} with it positive, {one.counts.tn} of "
            f"{one.counts.well} without it negative", "  ")  # fmt: skip
        for words, pair in (("here", one.here), ("published" if one.is_published else "custom or model", one.published),
                            ("together", one.together)):  # fmt: skip
            if pair:
                say(f"{words}: sensitivity {_shown(pair[0])}, specificity {_shown(pair[1])}", "    ")
    footer(desk.library.release)
    return 0


def _write(options: argparse.Namespace, desk) -> int:  # type: ignore[no-untyped-def]
    from endfeel.care.outcomes import counts_to_share

    earlier = _site(options.earlier) if options.earlier else None
    told = counts_to_share(desk, options.site, earlier, options.fewest)
    options.out.write_text(json.dumps(told.document, indent=1) + "\n", encoding="utf-8")
    say(f"{len(told.document['tables'])} tables written to {options.out}; {told.small} stay here because a count is "
        f"small, {told.little_growth} leave as they stood last time because they grew too little.")  # fmt: skip
    if earlier is None:
        say(
            "Keep this file: next time name it with --earlier, so that nobody can be told from the difference.",
            "",
            "dim",
        )
    return 0


def _merge(options: argparse.Namespace) -> int:
    from endfeel.caseload.report import names_of
    from endfeel.evidence.load import load_library
    from endfeel.inference import build_model
    from endfeel.inference.local_counts import merge

    sites = [_site(name) for name in options.merge]
    twice = {one.site for one in sites if sum(other.site == one.site for other in sites) > 1}
    if twice:
        raise CannotRead([Fault("the same site twice", ", ".join(sorted(twice)), "one file a site, the newest")])
    library = load_library()
    merged = merge([one.tables for one in sites], build_model(library))
    if options.json:
        print_json({"sites": [one.site for one in sites], "tests": [asdict(one) for one in merged],
                    "release": library.release, "cautions": list(CAUTIONS)})  # fmt: skip
        return 0
    names = names_of(library)
    print(style(f"{len(sites)} sites, {len(merged)} tests", "head"))
    for one in merged:
        name = f"{names.get(one.key[0], one.key[0])}, {one.key[1]}: {names.get(one.contributor, one.contributor)}"
        print(style(name, "bold"))
        say(f"by {one.reference}, {one.counts.people} people of {one.sites} sites: in a further site sensitivity "
            f"{_shown(one.sensitivity)}, specificity {_shown(one.specificity)}; between sites "
            f"{one.spread_sensitivity:.2f} and {one.spread_specificity:.2f} (SD of the log odds)", "  ")  # fmt: skip
    footer(library.release)
    return 0


def _site(name: str) -> SiteCounts:
    from endfeel.exchange.local_counts import read_site

    return read_site(case_text_of(name, WANTED), Path(name).name)


def _shown(one: Share) -> str:
    return f"{one.value:.0%} ({one.low:.0%} to {one.high:.0%})"
