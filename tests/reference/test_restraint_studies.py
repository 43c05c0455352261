"""Restraint and joint play studies of the glenohumeral joint beside the model.

Each row names its published source in the evidence (tables restraint_studies and joint_play). Every row has a computed
verdict or a written reason why the model cannot speak. The verdicts are kept here, row by row, so that a change of the
model in either direction shows; a disagreement is explained in `study_doubts` and on docs/claims.md.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from endfeel.evidence.library import Library
from endfeel.mechanics import draw_population
from endfeel.mechanics.study_checks import CHECKS, SILENT, Verdict, counted, rows_in_question, study_verdicts

pytestmark = pytest.mark.xdist_group("restraint_studies")
"""One process draws the people once."""

PEOPLE = 60
PAGE = Path(__file__).resolve().parents[2] / "docs" / "claims.md"

DISAGREES = {
    "rs006",
    "rs007",
    "rs008",
    "rs010",
    "rs013",
    "rs014",
    "rs016",
    "rs017",
    "rs018",
    "rs019",
    "rs020",
    "rs021",
    "rs024",
    "rs027",
    "rs033",
    "rs035",
    "rs041",
    "rs043",
    "rs044",
    "rs061",
    "rs063",
    "rs064",
    "rs069",
    "rs074",
    "rs075",
    "rs076",
    "rs086",
    "rs087",
    "rs089",
    "rs090",
    "rs095",
    "rs096",
    "rs097",
    "rs103",
    "rs105",
    "rs106",
    "rs108",
    "rs109",
    "rs155",
    "rs161",
    "rs163",
    "rs164",
    "jp006",
    "jp007",
    "jp008",
    "jp009",
    "jp010",
    "jp014",
    "jp015",
    "jp017",
    "jp018",
    "jp019",
    "jp020",
    "jp028",
    "jp029",
    "jp031",
    "jp032",
    "jp034",
    "jp035",
    "jp037",
    "jp038",
    "jp040",
    "jp041",
    "jp070",
    "jp072",
}
"""Where the model is known to contradict its source over these people; every other row it can speak to has to agree."""
NEAR_THE_BORDER = {"rs031", "rs042", "rs073"}
"""Rows whose verdict over the people of docs/claims.md is the other one."""


@pytest.fixture(scope="module")
def verdicts(library: Library) -> dict[str, Verdict]:
    people = draw_population(library, PEOPLE, seed=0).in_bulk()
    return {verdict.row: verdict for verdict in study_verdicts(library, people)}


def test_every_row_has_a_check_or_a_reason(library: Library) -> None:
    asked = set(rows_in_question(library))
    assert {f"rs{number:03d}" for number in range(1, 110)} <= asked
    assert asked == set(CHECKS) | set(SILENT)
    assert not set(CHECKS) & set(SILENT)
    assert all(SILENT.values())
    glenohumeral = {row.id for row in library.tables["joint_play"] if row.text["joint"] == "GH"}
    assert glenohumeral <= asked


@pytest.mark.parametrize("row", CHECKS)
def test_the_verdict_on_each_row_is_the_one_written_down(verdicts: dict[str, Verdict], row: str) -> None:
    verdict = verdicts[row]
    assert verdict.converged_ratio is not None
    assert verdict.converged_ratio >= 0.5, "people with an answer"
    assert verdict.model
    assert verdict.agrees is (row not in DISAGREES), f"{verdict.says}: {verdict.model}"
    assert bool(verdict.reason) is (row in DISAGREES)


@pytest.mark.parametrize("row", SILENT)
def test_a_row_without_verdict_has_a_reason(verdicts: dict[str, Verdict], row: str) -> None:
    assert verdicts[row].agrees is None
    assert verdicts[row].reason
    assert not verdicts[row].model


def test_most_people_hold_what_the_people_together_hold_where_the_margin_is_wide(verdicts: dict[str, Verdict]) -> None:
    """By far: IGHL complex at 90 (Turkel 1981), plication (Gerber 2003), hold of the bare curve (Lippitt 1993)."""
    for row in ("rs005", "rs015", "rs054", "rs092", "jp066"):
        ratio = verdicts[row].people_ratio
        assert ratio is not None
        assert ratio > 0.7


def test_the_page_has_every_row_with_its_verdict(verdicts: dict[str, Verdict]) -> None:
    """docs/claims.md is of 1,000 people: rows near the border may fall the other way there, and are named here."""
    cells = {
        parts[0]: parts
        for line in PAGE.read_text(encoding="utf-8").splitlines()
        if line.startswith(("| rs", "| jp"))
        for parts in [[part.strip() for part in line.strip("| ").split(" | ")]]
    }
    assert set(cells) == set(verdicts)
    words = {True: "agrees", False: "disagrees", None: "cannot speak"}
    differing = {row for row, verdict in verdicts.items() if words[verdict.agrees] not in cells[row]}
    assert differing == NEAR_THE_BORDER


def test_the_page_counts_its_own_rows() -> None:
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    told = [line for line in lines if line.startswith("| all |")]
    rows = [line for line in lines if line.startswith(("| rs", "| jp"))]
    agree = sum("| agrees |" in line for line in rows)
    disagree = sum("| disagrees |" in line for line in rows)
    assert len(told) == 1
    numbers = [part.strip() for part in told[0].strip("| ").split("|")]
    assert numbers[1:4] == [str(len(rows)), str(len(rows) - agree - disagree), str(agree + disagree)]
    assert numbers[4].startswith(f"{agree} (")
    assert numbers[5] == str(disagree)


@pytest.mark.parametrize("row", CHECKS)
def test_heads_that_leave_answer_nothing(verdicts: dict[str, Verdict], row: str) -> None:
    """Where a row asks for a whole joint, no more people hold it than keep the head in, and fewer than half is no."""
    verdict = verdicts[row]
    assert verdict.people_ratio is not None
    if verdict.seated_ratio is None:
        return
    assert verdict.people_ratio <= verdict.seated_ratio + 1e-12
    if verdict.seated_ratio < 0.5:
        assert verdict.agrees is False
        assert "the head does not stay" in verdict.model


def test_only_studies_that_take_the_head_out_do_not_ask_whether_it_stays(verdicts: dict[str, Verdict]) -> None:
    """Burkart 2002, Weber 1989, Blasier 1997, Lippitt 1993, 21.5 mm of Warner 1999 (and the two rows on what holds the
    head in that position, rs014 and rs098), half way to the edge."""
    free = {row for row in CHECKS if verdicts[row].seated_ratio is None}
    assert free == {
        "rs009",
        "rs014",
        "rs098",
        "rs103",
        "rs104",
        "rs105",
        "jp066",
        "jp067",
        "jp069",
        "jp073",
        "jp074",
        "jp075",
    }


def test_counts_add_up(verdicts: dict[str, Verdict]) -> None:
    count = counted(tuple(verdicts.values()))
    assert (count.silent, count.disagree) == (len(SILENT), len(DISAGREES))
    assert count.spoken == len(CHECKS)
