"""Every published row on restraint and glenohumeral play beside what the model says: agrees, disagrees or cannot speak.

The model's parameters are set on anatomy and passive range alone; none of the rows judged here set anything. The rules
of judgement stand in `restraint_checks`; the verdict is that of a drawn population. Where a question assumes a whole
joint, only people whose head stays in the socket answer it, and where fewer than `seated_majority` do, the row counts
as disagreement: the model's head does not stay, which the study's did.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library, Row
from endfeel.mechanics.girdle_checks import CHECKS as GIRDLE_CHECKS
from endfeel.mechanics.girdle_checks import SILENT as GIRDLE_SILENT
from endfeel.mechanics.play_checks import PLAY_CHECKS, PLAY_SILENT
from endfeel.mechanics.restraint_checks import CUFF_LEFT, RESTRAINT_CHECKS, RESTRAINT_SILENT
from endfeel.mechanics.shoulder import Shoulders
from endfeel.mechanics.study_bench import Bench, Question
from endfeel.mechanics.study_doubts import DOUBTS, SLIPS

CHECKS = RESTRAINT_CHECKS | PLAY_CHECKS
SILENT = RESTRAINT_SILENT | PLAY_SILENT
LEAST_ANSWERED = 0.5
"""Numerical: where fewer people than this have an answer, the model contradicts the study, which had one."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """One row: what the publication says, what the model says, and whether they agree."""

    row: str
    says: str
    provenance: str
    source: str
    """Id of the source."""
    model: str
    """Empty where the model cannot speak."""
    agrees: bool | None
    reason: str
    """Why the model cannot speak, or what may lie behind a disagreement; empty where they agree."""
    people_ratio: float | None
    """The part of the people in whom the statement holds; a head that has left the socket holds nothing."""
    converged_ratio: float | None
    """The part of the people whose search ended at rest; the others are left out."""
    seated_ratio: float | None
    """The part of these whose head stays in the socket; None where the row does not ask for that."""


def study_verdicts(
    library: Library, living: Shoulders, rows: Sequence[str] | None = None, told: Callable[[str], None] | None = None
) -> tuple[Verdict, ...]:
    """The verdict on every row (or some rows) over a drawn population of the living; `told` hears each row's id."""
    bare, clothed, verdicts = Bench(library, living), Bench(library, living, cuff=True), []
    for row in rows_in_question(library) if rows is None else rows:
        if told is not None:
            told(row)
        verdicts.append(_verdict(clothed if row in CUFF_LEFT else bare, row))
    return tuple(verdicts)


def rows_in_question(library: Library) -> tuple[str, ...]:
    """Ids of the rows that are not judged with the AC and SC joints, in the order of the tables."""
    elsewhere = {one.split(".")[1] for one in (*GIRDLE_CHECKS, *GIRDLE_SILENT)}
    studies = [row.id for row in library.tables["restraint_studies"] if row.id not in elsewhere]
    return (*studies, *(row.id for row in library.tables["joint_play"] if row.text["joint"] == "GH"))


def _verdict(bench: Bench, row: str) -> Verdict:
    held = _row(bench.library, row)
    about = (row, words_of(held), held.provenance.label, held.source.id)
    if row in SILENT:
        return Verdict(*about, "", None, SILENT[row], None, None, None)
    question = CHECKS[row](bench)
    found = question.measure(bench)
    fine = found.ok.converged & np.all(np.isfinite(found.rows), axis=1)
    converged = float(np.mean(fine))
    if converged < LEAST_ANSWERED:
        return Verdict(
            *about, "no end and no rest is found in most people", False, DOUBTS.get(row, ""), 0.0, converged, None
        )
    stays = fine if question.may_leave else fine & found.ok.seated
    seated = None if question.may_leave else float(stays.sum() / fine.sum())
    if seated is not None and seated < bench.set_to("seated_majority"):
        few, reason = _slipped(question, found.rows[stays]), DOUBTS.get(row, SLIPS)
        return Verdict(*about, few, False, reason, 0.0, converged, seated)
    rows = found.rows[stays]
    together = question.together(rows)
    agrees = bool(question.holds(together[None])[0])
    ratio = float(question.holds(rows).sum() / fine.sum())
    reason = "" if agrees else DOUBTS.get(row, "")
    return Verdict(*about, question.words(together), agrees, reason, ratio, converged, seated)


def _slipped(question: Question, rows: Floats) -> str:
    """What is said where too few heads stay: so much, and the answer of those few."""
    if not len(rows):
        return "the head does not stay"
    return f"the head does not stay; in those few where it does, {question.words(question.together(rows))}"


def _row(library: Library, row: str) -> Row:
    return library.tables["restraint_studies" if row.startswith("rs") else "joint_play"].rows[row]


def words_of(row: Row) -> str:
    """What a row says, from its cells."""
    said: dict[str, Figure] = {**row.figures, **row.statements}
    text = row.text
    if "load_or_motion" in text:
        value = said["value"]
        unit = value.unit if value.unit not in ("rank", "statement") else ""
        spread = f" (SD {said['sd'].text})" if "sd" in said else ""
        measured = f"{text['measure'].replace('_', ' ')} {value.text} {unit}".strip()
        return f"{text['structure']}, {text['load_or_motion']} [{text['arm_position']}]: {measured}{spread}"
    told = [f"{said[name].text} {said[name].unit}" for name in ("force_N", "translation_mm") if name in said]
    if "translation_sd_mm" in said:
        told[-1] += f" (SD {said['translation_sd_mm'].text})"
    if "stiffness_N_per_mm" in said:
        told.append(f"{said['stiffness_N_per_mm'].text} N/mm (SD {said['stiffness_sd'].text})")
    told += [said["finding"].text] if "finding" in said else []
    told += [row.note] if row.note else []
    about = ", ".join(text[name] for name in ("population", "arm_position", "direction", "grade") if text.get(name))
    return f"{about}: {'; '.join(told)}"


def as_table(verdicts: Sequence[Verdict]) -> str:
    """The verdicts as a table for a document, agreement first."""
    words = {True: "agrees", False: "disagrees", None: "cannot speak"}
    lines = [
        "| row | what it says | label | model | verdict | holds in | head stays in | why |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for verdict in sorted(verdicts, key=lambda one: ((True, False, None).index(one.agrees), one.row)):
        held = _percent(verdict.people_ratio)
        stays = _percent(verdict.seated_ratio)
        cells = (verdict.row, verdict.says, verdict.provenance, verdict.model, words[verdict.agrees], held, stays)
        lines.append(f"| {' | '.join(cell.replace('|', '/') for cell in (*cells, verdict.reason))} |")
    return "\n".join(lines)


def _percent(ratio: float | None) -> str:
    return "" if ratio is None else f"{ratio * 100:.0f} %"


@dataclass(frozen=True, slots=True)
class Count:
    """How many rows agree."""

    agree: int
    disagree: int
    silent: int

    @property
    def spoken(self) -> int:
        return self.agree + self.disagree


def counted(verdicts: Sequence[Verdict]) -> Count:
    """How many rows agree, disagree and are not spoken to."""
    said = [verdict.agrees for verdict in verdicts]
    return Count(said.count(True), said.count(False), said.count(None))
