"""Kappa, lean and angle error of one examiner, from ratings; a simulated examiner is found again."""

from __future__ import annotations

import math

import numpy as np
import pytest

from endfeel.evidence.library import Library
from endfeel.inference import OwnAgreement, OwnError
from endfeel.inference.own_agreement import own_rows
from endfeel.inference.parameters import Parameters
from endfeel.measurement.agreement import Ratings, read_ratings
from endfeel.vocabulary import CannotRead

SUBJECTS, TIMES = 400, 200


def rows_of(library: Library, ratings: Ratings, procedure: str, outcome: str | None = None, measured: bool = False,
            examiner: str = "anna") -> tuple[OwnAgreement | OwnError, ...]:  # fmt: skip
    parameters = Parameters.of(library.documents["inference"])
    return own_rows(ratings, examiner, library.catalogue[procedure], outcome, parameters, measured=measured, file="f")


def odds_shifted(p: float, lean: float) -> float:
    odds = p / (1.0 - p) * math.exp(lean)
    return odds / (1.0 + odds)


@pytest.mark.parametrize("lean", [-1.2, 0.0, 0.8])
def test_a_simulated_examiner_is_found_again_within_sampling_error(library: Library, lean: float) -> None:
    """400 people, stiff in half; the other reports it in 0.80 of the stiff and 0.15 of the rest, this one with `lean`.

    The true kappa follows from these shares (0.33, 0.42 and 0.40). Sampling error by theory: of the lean
    sqrt(1/b + 1/c) for the expected discordant counts b and c (0.21, 0.19 and 0.20); of kappa the spread over the 200
    repetitions (below 0.06). The mean of the repetitions must lie within three of its standard errors (plus the
    second-order bias 1/(2b) of adding 0.5), and single leans must scatter as the theory says.
    """
    other = {True: 0.80, False: 0.15}
    own = {state: odds_shifted(share, lean) for state, share in other.items()}
    both = sum(0.5 * own[s] * other[s] for s in other)
    mine, theirs = sum(0.5 * own[s] for s in other), sum(0.5 * other[s] for s in other)
    chance = mine * theirs + (1 - mine) * (1 - theirs)
    kappa = (1 - mine - theirs + 2 * both - chance) / (1 - chance)
    error = math.sqrt(1 / (SUBJECTS * (mine - both)) + 1 / (SUBJECTS * (theirs - both)))
    assert 0.15 < error < 0.25
    generator = np.random.default_rng(11)
    found = []
    for _ in range(TIMES):
        stiff = generator.random(SUBJECTS) < 0.5
        said = [generator.random(SUBJECTS) < np.where(stiff, shares[True], shares[False]) for shares in (own, other)]
        lines = [f"{'yes' if a else 'no'},{'yes' if b else 'no'}" for a, b in zip(*said, strict=True)]
        (row,) = rows_of(library, read_ratings("Anna,Ben\n" + "\n".join(lines)), "gh_post", "hypo")
        assert isinstance(row, OwnAgreement)
        assert row.subjects == SUBJECTS
        found.append((row.lean, row.kappa))
    leans, kappas = np.array(found).T
    small = 1 / (2 * SUBJECTS * min(mine - both, theirs - both))
    assert leans.mean() == pytest.approx(lean, abs=3 * error / math.sqrt(TIMES) + small)
    assert leans.std() == pytest.approx(error, rel=0.2)
    assert kappas.std() < 0.06
    assert kappas.mean() == pytest.approx(kappa, abs=3 * kappas.std() / math.sqrt(TIMES) + 0.003)


def test_grades_give_stiff_and_slack_by_the_thresholds_of_the_reasoning(library: Library) -> None:
    """Counted by hand: stiff both 2, only Anna 1, only Ben 0, neither 3; slack both 1, only Ben 1."""
    ratings = read_ratings("Anna,Ben\n1,2\n2,1\n2,3\n3,3\n4,5\n3,4\n")
    stiff, slack = rows_of(library, ratings, "gh_post")
    assert isinstance(stiff, OwnAgreement)
    assert isinstance(slack, OwnAgreement)
    assert (stiff.place, stiff.outcome, stiff.subjects) == ("gh_post", "hypo", 6)
    assert stiff.kappa == pytest.approx((5 / 6 - 1 / 2) / (1 - 1 / 2))
    assert stiff.lean == pytest.approx(math.log(1.5 / 0.5))
    assert slack.outcome == "hyper"
    assert slack.lean == pytest.approx(math.log(0.5 / 1.5))


def test_an_outcome_nobody_found_gives_no_row_and_none_at_all_is_a_fault(library: Library) -> None:
    rows = rows_of(library, read_ratings("Anna,Ben\n1,2\n3,3\n2,3\n"), "gh_post")
    assert [row.outcome for row in rows if isinstance(row, OwnAgreement)] == ["hypo"]
    with pytest.raises(CannotRead, match="rated alike"):
        rows_of(library, read_ratings("Anna,Ben\n3,3\n3,3\n3,3\n"), "gh_post")


def test_degrees_give_the_within_subject_standard_error(library: Library) -> None:
    """Differences 2, -4 and 0: root of (4 + 16 + 0) / (2 * 3)."""
    (row,) = rows_of(library, read_ratings("Anna,Ben\n60,58\n40,44\n50,50\n"), "gh_er_0", measured=True)
    assert row == OwnError("gh_er_0", pytest.approx(math.sqrt(20 / 6)), 3)


def test_two_other_examiners_count_alike_and_the_people_once(library: Library) -> None:
    ratings = read_ratings("Anna,Ben,Cara\nyes,no,no\nyes,yes,yes\nno,no,no\nno,no,yes\n")
    (row,) = rows_of(library, ratings, "gh_post",
                     "pain")  # fmt: skip
    assert isinstance(row, OwnAgreement)
    assert row.subjects == 4
    assert row.lean == pytest.approx(math.log(2.5 / 1.5))


@pytest.mark.parametrize(
    ("text", "procedure", "outcome", "measured", "examiner", "says"),
    [
        ("Anna,Ben\n1,2\n3,3\n", "gh_post", None, False, "Zoe", "no such examiner.*one of Anna, Ben"),
        ("Anna,Ben\n1,9\n3,3\n", "gh_post", None, False, "Anna", "'9'.*grades 0 to 6"),
        ("Anna,Ben\nyes,perhaps\nno,no\n", "gh_post", "pain", False, "Anna", "'perhaps'"),
        ("Anna,Ben\nyes,no\nno,no\n", "gh_er_0", None, True, "Anna", "read in degrees.*--outcome"),
        ("Anna,Ben\nyes,no\nno,no\n", "gh_post", "stiff", False, "Anna", "unknown outcome.*hypo"),
        ("Anna,Ben\nyes,no\nno,no\n", "st_assist", None, False, "Anna", "neither graded nor measured"),
    ],
)
def test_ratings_that_do_not_fit_are_named(
    library: Library, text: str, procedure: str, outcome: str | None, measured: bool, examiner: str, says: str
) -> None:
    with pytest.raises(CannotRead, match=says):
        rows_of(library, read_ratings(text), procedure, outcome, measured, examiner)
