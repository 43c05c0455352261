"""`endfeel claims`: what the trade says, what publications say, what the model says; where they agree and where not."""

from __future__ import annotations

import argparse
import importlib.util
import sys
from typing import TYPE_CHECKING, Any

from endfeel.cli.claims_tables import YES, agreement_words, claim_tables, count_table, studies_words, study_tables
from endfeel.cli.plain_words import POSITIONS, meant
from endfeel.cli.terminal import bar, footer, print_json, say, style
from endfeel.vocabulary import SHORT_CAUTION, CannotRead, Fault, NotFound

if TYPE_CHECKING:
    from collections.abc import Sequence

    from endfeel.evidence.library import Library
    from endfeel.mechanics.claims import ClaimAnswer, StressCell
    from endfeel.mechanics.girdle_checks import Verdict as GirdleVerdict
    from endfeel.mechanics.shoulder import Shoulders
    from endfeel.mechanics.study_checks import Verdict

LABEL = "practice"
"""Of whatever the model computes: the weakest of its figures."""


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--band", default="", metavar="BAND", help="only this band, such as middle_GHL or coracohumeral"
    )
    parser.add_argument("--position", default="", metavar="WORD", help="only this position, such as flexed")
    parser.add_argument("--people", type=int, default=1000, metavar="N", help="shoulders drawn (default 1000)")
    parser.add_argument("--seed", type=int, default=0, help="decides who they are (default 0)")
    parser.add_argument(
        "--studies", action="store_true", help="every published row as well (1,000 shoulders: some minutes)"
    )
    parser.add_argument("--table", action="store_true", help="tables for a document")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Examine drawn people in every stress test, put claims and publications beside it."""
    from endfeel.evidence.load import load_library

    faults = []
    if options.people < 1:
        faults.append(Fault("--people must be at least 1", str(options.people), "for instance 1000", field="people"))
    if options.seed < 0:
        faults.append(Fault("a seed is not negative", str(options.seed), "0 or more", field="seed"))
    if options.table and (options.position or options.band):
        faults.append(Fault("the tables hold every position and band", would_do="leave out --position and --band"))
    if faults:
        raise CannotRead(faults)
    library = load_library()
    tests = _wanted_tests(library, options.position)
    options.band = _band(options.band)
    people = people_of(library, options.people, options.seed)
    if options.table:
        made = claim_tables(library, people) | (study_tables(library, people, _told) if options.studies else {})
        print("\n\n".join(f"{name}\n\n{table}" for name, table in made.items()))
        return 0
    cells, answers = _found(library, people, tests, options)
    studies, girdle = _studies(library, people) if options.studies else ((), ())
    if options.json:
        print_json(_json(library, options, cells, answers, studies, girdle))
    else:
        _print(library, options, cells, answers, studies, girdle)
    return 0


def people_of(library: Library, count: int, seed: int) -> Shoulders:
    """Drawn people, searched in compiled loops where numba is installed."""
    from endfeel.mechanics import draw_population

    people = draw_population(library, count, seed)
    return people.in_bulk() if importlib.util.find_spec("numba") else people


def _wanted_tests(library: Library, word: str) -> tuple[Any, ...]:
    from endfeel.mechanics.stress_table import stress_tests

    tests = stress_tests(library)
    said = meant(word, POSITIONS)
    wanted = tuple(test for test in tests if said in (test.position, test.name)) if word else tests
    if not wanted:
        known = ", ".join(dict.fromkeys(test.position for test in tests))
        raise CannotRead([Fault("no such position", word, known, field="position")])
    return wanted


def _band(word: str) -> str:
    """A band by its name, however it is spelt. Raises CannotRead with the names there are."""
    from endfeel.cli.shoulder_options import spelt
    from endfeel.mechanics.changes import Change
    from endfeel.mechanics.claims import CORACOHUMERAL
    from endfeel.mechanics.parameters import BANDS

    known = (*BANDS, CORACOHUMERAL)
    try:
        return spelt(Change(word), known).structure if word else ""
    except NotFound as error:
        raise CannotRead([Fault("no such band", word, ", ".join(known), field="band")]) from error


def _found(
    library: Library, people: Shoulders, tests: Sequence[Any], options: argparse.Namespace
) -> tuple[tuple[StressCell, ...], tuple[ClaimAnswer, ...]]:
    from endfeel.mechanics.claims import claim_answers, stress_cells
    from endfeel.mechanics.stress_table import stress_table

    done = []
    for number, test in enumerate(tests, 1):
        _told(f"stress test {number} of {len(tests)}: {test.name}")
        done.append(stress_table(people, [test]))
    cells = stress_cells(library, {name: stress for table in done for name, stress in table.items()})
    _told("")
    if options.band:
        return tuple(cell for cell in cells if cell.structure == options.band), ()
    return cells, () if options.position else claim_answers(library, people)


def _studies(library: Library, people: Shoulders) -> tuple[tuple[Verdict, ...], tuple[GirdleVerdict, ...]]:
    from endfeel.mechanics.girdle_checks import girdle_verdicts
    from endfeel.mechanics.study_checks import study_verdicts

    return study_verdicts(library, people, told=_told), girdle_verdicts(library)


def _told(row: str) -> None:
    if sys.stderr.isatty():
        print(f"\r\x1b[K{row and f'  {row} '}", end="", file=sys.stderr, flush=True)


def _json(
    library: Library,
    options: argparse.Namespace,
    cells: Sequence[StressCell],
    answers: Sequence[ClaimAnswer],
    studies: Sequence[Verdict],
    girdle: Sequence[GirdleVerdict],
) -> dict[str, Any]:
    return {
        "release": library.release,
        "people": options.people,
        "seed": options.seed,
        "stress_tests": [
            {
                "position": cell.position,
                "rotation": cell.turn,
                "band": cell.structure,
                "trade": {"id": cell.claim, "says": "taut", "provenance": "practice"} if cell.claim else None,
                "taut_probability": round(cell.taut_probability, 4),
                "median_share": round(cell.median_share, 4),
                "mean_share": round(cell.mean_share, 4),
                "model": cell.model,
                "people_with_an_end": cell.answered,
                "provenance": LABEL,
                "publications": cell.published,
                "studies": [
                    {"row": row, "says": says, **_source(library, row)} for row, says in cell.studies
                ],
                "model_agrees_with_trade": cell.model_agrees_with_trade,
                "publications_agree_with_trade": cell.publications_agree_with_trade,
                "model_agrees_with_publications": cell.model_agrees_with_publications,
            }
            for cell in cells
        ],
        "claims": [
            {"id": one.claim, "says": one.says, "model": one.computed, "agrees": one.agrees, "rests_on": one.rests_on}
            for one in answers
        ],
        "studies": [*map(_verdict_json, studies), *map(_verdict_json, girdle)],
        "cautions": [SHORT_CAUTION],
    }  # fmt: skip


def _source(library: Library, row: str) -> dict[str, str]:
    held = library.tables["restraint_studies"].rows[row]
    return {"source": held.source.citation, "provenance": held.provenance.label}


def _verdict_json(one: Verdict | GirdleVerdict) -> dict[str, Any]:
    names = ("row", "says", "provenance", "model", "agrees", "reason", "people_ratio")
    return {name: getattr(one, name) for name in names} | {"head_stays_ratio": getattr(one, "seated_ratio", None)}


def _print(
    library: Library,
    options: argparse.Namespace,
    cells: Sequence[StressCell],
    answers: Sequence[ClaimAnswer],
    studies: Sequence[Verdict],
    girdle: Sequence[GirdleVerdict],
) -> None:
    from endfeel.evidence.cite import LEGEND, cite
    from endfeel.mechanics.claims import named_by

    shown = tuple(cells) if options.band else named_by(tuple(cells))
    drawn = "one drawn shoulder" if options.people == 1 else f"{options.people} drawn shoulders"
    say(f"Stress tests of the capsule in {drawn}: how many have the band taut", kind="head")
    for test in {(cell.position, cell.turn): cell for cell in shown}.values():
        turned = "inward" if test.turn == "medial" else "outward"
        say(f"{test.position}, turned {turned} ({test.answered} of {options.people} people reach an end)", kind="bold")
        for cell in shown:
            if (cell.position, cell.turn) == (test.position, test.turn):
                _print_cell(cell, library)
    for line in agreement_words(cells).splitlines():
        say(line, "  ")
    if answers:
        print(style("Clavicle and glides (‡ common practice, no source)", "head"))
        for one in answers:
            say(f"{one.says}. Model ‡{one.computed}: {_agreement(one.agrees)}", "  ")
            say(one.rests_on, "    ", "dim")
    _print_studies(studies, girdle)
    from endfeel.mechanics.stress_table import TAUT

    least = library.figure(TAUT)
    say(
        f"Taut: pulled by more than {cite(least)} at the end of a passive turn. Disagreement stands as it is: no "
        "parameter of the model was set on a claim or a study. All model numbers carry the label practice.",
        kind="dim",
    )
    say(LEGEND, kind="dim")
    footer(library.release)


def _print_cell(cell: StressCell, library: Library) -> None:
    from endfeel.mechanics.band_names import band_name

    trade = "trade ‡taut" if cell.claim else "trade –"
    line = f"{band_name(cell.structure):34} {bar(cell.taut_probability, 10)} ‡{cell.taut_probability * 100:3.0f} %"
    say(
        f"{line}  half of them bear ‡{cell.median_share * 100:.0f} % of the load or more  {trade}  {_verdict(cell)}",
        "  ",
    )
    if cell.studies:
        say(studies_words(cell, library), "    publications ", "dim")


def _verdict(cell: StressCell) -> str:
    said = []
    for words, agrees in (
        ("model with trade", cell.model_agrees_with_trade),
        ("publications with trade", cell.publications_agree_with_trade),
        ("model with publications", cell.model_agrees_with_publications),
    ):
        if agrees is not None:
            said.append(f"{words}: {YES[agrees]}")
    return "; ".join(said)


def _agreement(agrees: bool) -> str:
    return style("agrees", "good") if agrees else style("disagrees", "warn")


def _print_studies(studies: Sequence[Verdict], girdle: Sequence[GirdleVerdict]) -> None:
    if not studies:
        return
    print(style("Publications", "head"))
    for line in count_table(studies).splitlines()[2:]:
        name, _, silent, spoken, agree, disagree = (part.strip() for part in line.strip("|").split("|"))
        say(
            f"{name}: of {spoken} rows the model can speak to, {agree} agree, {disagree} do not; silent on {silent}",
            "  ",
        )
    spoken_girdle = [one.agrees for one in girdle if one.agrees is not None]
    say(f"AC and SC joints (docs/girdle_joints.md): {sum(spoken_girdle)} of {len(spoken_girdle)} agree", "  ")
    both: list[Verdict | GirdleVerdict] = [*studies, *girdle]
    for one in both:
        if one.agrees is False:
            stays = getattr(one, "seated_ratio", None)
            head = "" if stays is None else f" The head stays in ‡{stays * 100:.0f} % of people."
            say(f"{one.says} ({one.provenance}). Model ‡{one.model}.{head} {one.reason}", f"  {one.row} ")
