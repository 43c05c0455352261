"""What publications and the trade say about the AC and SC joints, beside what the model says.

The model is set on anatomy and stiffness alone; none of the rows judged here set anything. Rules of judgement, fixed
beforehand: a published force or share is met within one of its published deviations; a share recalled without its
spread is met when the structure leads and the share is near; an order is met when the model has the same order; a
"force in" a structure is the size of the sum of its fibres' pulls, a "share of the resisting force" its part along
the direction of loading. A claim that the model cannot speak to has no verdict, and a reason.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library
from endfeel.mechanics.ac_claims import AC_CHECKS, AC_DOUBTS, AC_SILENT
from endfeel.mechanics.girdle_bench import bench_of
from endfeel.mechanics.sc_claims import SC_CHECKS, SC_DOUBTS, SC_SILENT

PEOPLE = 200
CHECKS = AC_CHECKS | SC_CHECKS
SILENT = AC_SILENT | SC_SILENT
DOUBTS = AC_DOUBTS | SC_DOUBTS


@dataclass(frozen=True, slots=True)
class Verdict:
    """One claim: who makes it, what it says, what the model says, and whether they agree."""

    row: str
    """Id of the figure that makes the claim."""
    says: str
    """The claim in the words of its row."""
    provenance: str
    model: str
    """What the model of the mean person says; empty where it cannot speak."""
    agrees: bool | None
    """None where the model cannot speak to the claim."""
    reason: str
    """Why it cannot speak, or why they may differ; empty where nothing needs saying."""
    people_ratio: float | None
    """The part of a drawn population in which the claim holds."""


def girdle_verdicts(
    library: Library, people: int = PEOPLE, seed: int = 1, assuming: Mapping[str, float] | None = None
) -> tuple[Verdict, ...]:
    """Every claim about the AC and SC joints with its verdict, by row; with no people, of the mean person alone.

    `assuming` puts values in the place of figures, to see which verdicts turn on them.
    """
    mean, many = bench_of(library, 0, seed, assuming), bench_of(library, people, seed, assuming)
    verdicts = []
    for row, check in CHECKS.items():
        figure = library.figure(row)
        words, holds = check(mean)
        ratio = float(np.mean(check(many)[1])) if people else None
        reason = "" if holds else DOUBTS.get(row, "")
        verdicts.append(
            Verdict(row, _says(library, figure), figure.provenance.label, words, bool(holds), reason, ratio)
        )
    for row, reason in SILENT.items():
        figure = library.figure(row)
        verdicts.append(Verdict(row, _says(library, figure), figure.provenance.label, "", None, reason, None))
    return tuple(sorted(verdicts, key=lambda verdict: verdict.row))


def as_table(verdicts: Sequence[Verdict]) -> str:
    """The verdicts as a table for a document, agreement first."""
    words = {True: "agrees", False: "disagrees", None: "cannot speak"}
    lines = [
        "| row | what it says | label | model, mean person | verdict | holds in | why |",
        "|---|---|---|---|---|---|---|",
    ]
    for verdict in sorted(verdicts, key=lambda one: ((True, False, None).index(one.agrees), one.row)):
        held = "" if verdict.people_ratio is None else f"{verdict.people_ratio * 100:.0f} %"
        cells = (
            verdict.row,
            verdict.says,
            verdict.provenance,
            verdict.model,
            words[verdict.agrees],
            held,
            verdict.reason,
        )
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines)


def _says(library: Library, figure: Figure) -> str:
    """A claim in words, from the cells of its row."""
    table, row_id, _ = figure.id.split(".", 2)
    if table not in library.tables:
        rule = next(rule for rule in library.documents[table]["glide_rule"] if rule["id"] == row_id)
        return f"{rule['joint']} {rule['angular_motion']}, {rule['moving_bone']}: {rule['glide']}"
    text = library.tables[table].rows[row_id].text
    if table == "restraint_studies":
        return f"{text['load_or_motion']}: {text['structure']}, {text['measure']} {figure.text}"
    if table == "accessory_motion":
        return f"{text['procedure']}: {text['measure']} {figure.text}"
    return f"{text['joint']} {text['direction']}, {text['force_N'] or '?'} N: {text['finding'] or figure.text}"
