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
    from endfeel.inference.local_counts import Beside, Merged, Share

MOST_TESTS = 8
"""Named beneath a person's figures; all of them stand in `endfeel counts`."""
WANTED = "a file of local counts (docs/local_counts.md)"


def configure(parser: argparse.ArgumentParser) -> None:
    add_store(parser)
    parser.add_argument("--out", type=Path, metavar="FILE", help="write the counts that may leave, for other sites")
    parser.add_argument("--site", default="", metavar="CODE", help="a code of your own for this site; no name")
    parser.add_argument("--earlier", metavar="FILE", help="what was sent last time, where the records do not hold it")
    parser.add_argument(
        "--fewest", type=int, metavar="N", help="no count of fewer people leaves (never below the stated)"
    )
    parser.add_argument("--merge", nargs="+", metavar="FILE", help="put files of several sites together")
    parser.add_argument("--for", dest="case", metavar="CASE",
                        help="what the counts here, and of --merge files, would change for this person")  # fmt: skip
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Show, write or merge counts; people never leave."""
    if options.merge and not options.case:
        return _merge(options)
    from endfeel.care import open_desk

    desk = open_desk(options.store, keeper=AtTerminal())
    try:
        if options.case:
            return _beside(options, desk)
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
        f"small, {told.little_growth} leave as they were told last because too few have come since.")  # fmt: skip
    say("It is kept in the records as what was told last: the next file holds back what grew by few since.", "", "dim")
    return 0


def _beside(options: argparse.Namespace, desk) -> int:  # type: ignore[no-untyped-def]
    """A case read with the published figures and with counts, side by side."""
    from endfeel.care.outcomes import figures_for
    from endfeel.caseload.report import names_of
    from endfeel.cli.case_file import open_case
    from endfeel.cli.reason import belief_words

    case = open_case(options.case, desk.library)
    told = figures_for(desk, case, more=[_site(name) for name in options.merge or ()])
    if options.json:
        rows = [{"contributor": one.published.id, "side": one.published.side,
                 **{name: {"probability": it.probability, "low": it.low, "high": it.high}
                    for name, it in (("published", one.published), ("here", one.here), ("sites", one.sites)) if it}}
                for one in told.rows]  # fmt: skip
        print_json({"contributors": rows, "tests": [asdict(one) for one in told.tests],
                    "merged": [asdict(one) for one in told.merged], "release": desk.library.release,
                    "cautions": list(CAUTIONS)})  # fmt: skip
        return 0
    if not told.rows:
        say("No test of this case was counted against what turned out: nothing to set beside the published figures.")
        return 0
    print(style("Published, and with what was counted", "head"))
    for one in told.rows:
        print(style(belief_words(one.published), "bold"))
        for words, it in (("published", one.published), ("with counts here", one.here),
                          ("with several sites", one.sites)):  # fmt: skip
            if it:
                say(f"{words}: {it.probability:.0%} ({it.low:.0%} to {it.high:.0%})", "  ")
    names = names_of(desk.library)
    print(style("The tests behind it", "head"))
    behind: list[tuple[Beside | Merged, str]] = [(one, "here") for one in told.tests]
    behind += [(one, f"at {one.sites} sites") for one in told.merged]
    for test, where in behind[:MOST_TESTS]:
        say(f"{names.get(test.key[0], test.key[0])}, {test.key[1]}: {names.get(test.contributor)}, by {test.reference} "
            f"in {test.counts.people} people {where}", "  ")  # fmt: skip
    if len(behind) > MOST_TESTS:
        say(f"and {len(behind) - MOST_TESTS} more of fewer people", "  ", "dim")
    say("The program goes by the published figures; whoever is sent for a scan is not everybody.", kind="dim")
    footer(desk.library.release)
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
    print(style(f"{_of(len(sites), 'site')}, {_of(len(merged), 'test')}", "head"))
    for one in merged:
        name = f"{names.get(one.key[0], one.key[0])}, {one.key[1]}: {names.get(one.contributor, one.contributor)}"
        print(style(name, "bold"))
        say(f"by {one.reference}, {one.counts.people} people of {_of(one.sites, 'site')}: in a further site "
            f"sensitivity {_shown(one.sensitivity)}, specificity {_shown(one.specificity)}; between sites "
            f"{one.spread_sensitivity:.2f} and {one.spread_specificity:.2f} (SD of the log odds)", "  ")  # fmt: skip
    footer(library.release)
    return 0


def _site(name: str) -> SiteCounts:
    from endfeel.exchange.local_counts import read_site

    return read_site(case_text_of(name, WANTED), Path(name).name)


def _shown(one: Share) -> str:
    return f"{one.value:.0%} ({one.low:.0%} to {one.high:.0%})"


def _of(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"
