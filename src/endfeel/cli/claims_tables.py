"""The tables of `endfeel claims --table`: claims, model and publications side by side, for a document."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from endfeel.evidence.library import Library
    from endfeel.mechanics.claims import StressCell
    from endfeel.mechanics.shoulder import Shoulders
    from endfeel.mechanics.study_checks import Verdict

YES = {True: "yes", False: "no", None: ""}


def claim_tables(library: Library, people: Shoulders) -> dict[str, str]:
    """The stress tests, what the trade claims of them, and the claims about clavicle and glides, by name."""
    from endfeel.mechanics.claims import claim_answers, named_by, stress_cells
    from endfeel.mechanics.stress_table import stress_table, stress_tests

    cells = stress_cells(library, stress_table(people, stress_tests(library)))
    rows = ["| claim | model | agrees | rests on |", "|---|---|---|---|"]
    rows += [
        f"| {one.says} | {one.computed} | {YES[one.agrees]} | {one.rests_on} |"
        for one in claim_answers(library, people)
    ]
    return {
        "trade in numbers": agreement_words(cells),
        "stress tests": _every_band(cells),
        "claims": _named(named_by(cells), library),
        "other claims": "\n".join(rows),
    }


def study_tables(library: Library, people: Shoulders, told: Callable[[str], None] | None = None) -> dict[str, str]:
    """The publications: how many rows agree, and every row."""
    from endfeel.mechanics.study_checks import as_table, study_verdicts

    verdicts = study_verdicts(library, people, told=told)
    return {
        "how many agree": count_table(verdicts),
        "behind the disagreements": reason_table(verdicts),
        "publications": as_table(verdicts),
    }


def count_table(verdicts: Sequence[Verdict]) -> str:
    """How many rows agree, by table and by label."""
    from endfeel.mechanics.study_checks import counted

    groups = {
        "restraint studies": [one for one in verdicts if one.row.startswith("rs")],
        "of them read": [one for one in verdicts if one.row.startswith("rs") and one.provenance == "read"],
        "joint play": [one for one in verdicts if one.row.startswith("jp")],
        "all": list(verdicts),
    }
    lines = ["| rows | in all | cannot speak | can speak | agree | disagree |", "|---|---|---|---|---|---|"]
    for name, group in groups.items():
        count = counted(group)
        lines.append(
            f"| {name} | {len(group)} | {count.silent} | {count.spoken} "
            f"| {count.agree} ({share(count.agree, count.spoken)}) | {count.disagree} |"
        )
    return "\n".join(lines)


def reason_table(verdicts: Sequence[Verdict]) -> str:
    """What may lie behind the disagreements, the most frequent first."""
    behind: dict[str, list[str]] = {}
    for one in verdicts:
        if one.agrees is False:
            behind.setdefault(one.reason, []).append(one.row)
    lines = ["| what may lie behind | rows | which |", "|---|---|---|"]
    ordered = sorted(behind.items(), key=lambda item: -len(item[1]))
    return "\n".join([*lines, *(f"| {reason} | {len(rows)} | {', '.join(rows)} |" for reason, rows in ordered)])


def agreement_words(cells: Sequence[StressCell]) -> str:
    """In how many cells each two of the three agree, one sentence a pair."""
    pairs = (
        ("Model and trade", [cell.model_agrees_with_trade for cell in cells]),
        ("Publications and trade", [cell.publications_agree_with_trade for cell in cells]),
        ("Model and publications", [cell.model_agrees_with_publications for cell in cells]),
    )
    told = []
    for name, found in pairs:
        spoken = [one for one in found if one is not None]
        told.append(f"{name} agree in {sum(spoken)} of {len(spoken)} cells in which both speak.")
    return "\n".join(told)


def share(part: int, whole: int) -> str:
    return f"{part / whole * 100:.0f} %" if whole else "–"


def _every_band(cells: Sequence[StressCell]) -> str:
    """Probability of being taut and, after the stroke, median share of load: one row a band, one column a test."""
    from endfeel.mechanics.band_names import band_name

    tests = list(dict.fromkeys((cell.position, cell.turn) for cell in cells))
    bands = list(dict.fromkeys(cell.structure for cell in cells))
    found = {(cell.position, cell.turn, cell.structure): cell for cell in cells}
    heads = [f"{position}, {turn}" for position, turn in tests]
    lines = [f"| taut % / share % | {' | '.join(heads)} |", f"|---|{'---|' * len(tests)}"]
    for band in bands:
        values = []
        for test in tests:
            cell = found[(*test, band)]
            told = f"{cell.taut_probability * 100:.0f} / {cell.median_share * 100:.0f}"
            values.append(f"**{told}**" if cell.claim else told)
        lines.append(f"| {band_name(band)} | {' | '.join(values)} |")
    return "\n".join(lines)


def _named(cells: Sequence[StressCell], library: Library) -> str:
    from endfeel.mechanics.band_names import band_name

    lines = [
        "| position, turn | band | trade | model: taut | median share | publications | model with trade | "
        "publications with trade | model with publications |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    lines += [
        f"| {cell.position}, {cell.turn} | {band_name(cell.structure)} | {'taut' if cell.claim else ''} "
        f"| {cell.taut_probability * 100:.0f} % | {cell.median_share * 100:.0f} % | {studies_words(cell, library)} "
        f"| {YES[cell.model_agrees_with_trade]} | {YES[cell.publications_agree_with_trade]} "
        f"| {YES[cell.model_agrees_with_publications]} |"
        for cell in cells
    ]
    return "\n".join(lines)


def studies_words(cell: StressCell, library: Library) -> str:
    """What each publication says, with its row and the row's own mark and label."""
    from endfeel.evidence.cite import MARKS, short_citation

    rows = library.tables["restraint_studies"].rows
    return "; ".join(
        f"{says}: {MARKS[rows[row].provenance]}{short_citation(rows[row].source)} ({row}, {rows[row].provenance.label})"
        for row, says in cell.studies
    )
