"""Simulated examiners: each alone as the links say, two together as the published kappa says; own hands end to end."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from endfeel.cli.main import main
from endfeel.evidence.library import Library
from endfeel.inference import Model, build_model, infer
from endfeel.inference.examiner import hands_of
from endfeel.inference.hands_file import read_hands
from endfeel.measurement.agreement import Kind, read_ratings
from endfeel.measurement.kappa import two_raters
from endfeel.measurement.limits_of_agreement import limits_of_agreement
from endfeel.simulate import ASSUMED, Hands, draw_patient, draw_story, find
from endfeel.simulate.ratings import simulated_ratings
from endfeel.vocabulary import CannotRead, Case, Complaint, Finding, Onset, Person, Side


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return build_model(library)


PAIR = {"Anna": ASSUMED, "Ben": ASSUMED}


def test_two_simulated_examiners_agree_as_the_published_kappa_says(library: Library, model: Model) -> None:
    """Of 600 people, stiff or not: the published kappa lies within sampling error (a hundredth more for rounding)."""
    text = simulated_ratings(library.catalogue["gh_post"], PAIR, 600, 3, library, model)
    counts = [[0.0, 0.0], [0.0, 0.0]]
    for line in text.strip().split("\n")[1:]:
        first, second = (int(one) <= 2 for one in line.split(",")[1:])
        counts[first][second] += 1
    found = two_raters(counts).kappa
    wanted = hands_of(library, model.parameters).kappa(("gh_post", "hypo"))
    assert found.low - 0.01 <= wanted <= found.high + 0.01


def test_each_simulated_examiner_reports_as_often_as_one_alone(library: Library, model: Model) -> None:
    text = simulated_ratings(library.catalogue["hawkins"], {"Anna": ASSUMED, "Ben": Hands(0.3)}, 700, 4, library, model)
    rows = [line.split(",")[1:] for line in text.strip().split("\n")[1:]]
    generator = np.random.default_rng(5)
    alone = []
    for _ in range(700):
        patient = draw_patient(draw_story(library, generator), model, generator)
        one = find(patient, ("hawkins", Side.RIGHT, None), model, ASSUMED, generator)
        alone.append(one is not None and str(one.result) == "positive")
    share = sum(row[0] == "yes" for row in rows) / 700
    assert share == pytest.approx(float(np.mean(alone)), abs=4 * (2 * 0.25 / 700) ** 0.5)


def test_who_does_not_look_agrees_less(library: Library, model: Model) -> None:
    examiners = {"Anna": ASSUMED, "Ben": ASSUMED, "Carla": Hands(0.8)}
    text = simulated_ratings(library.catalogue["hawkins"], examiners, 300, 6, library, model)
    rows = [[one == "yes" for one in line.split(",")[1:]] for line in text.strip().split("\n")[1:]]

    def kappa(a: int, b: int) -> float:
        counts = [[0.0, 0.0], [0.0, 0.0]]
        for row in rows:
            counts[row[a]][row[b]] += 1
        return two_raters(counts).kappa.value

    assert kappa(0, 1) > kappa(0, 2) + 0.1


def test_angles_differ_by_the_measurement_error_of_two_hands(library: Library, model: Model) -> None:
    text = simulated_ratings(library.catalogue["gh_er_0"], PAIR, 300, 7, library, model)
    ratings = read_ratings(text)
    assert ratings.kind is Kind.CONTINUOUS
    first, second = ([float(row[k]) for row in ratings.rows] for k in (0, 1))
    limits = limits_of_agreement(first, second)
    assert limits.sd_difference == pytest.approx(2.0 * model.angles["gh_er_0"].error_sd_deg, rel=0.15)


def test_the_same_seed_is_the_same_table_and_what_shows_nothing_is_told(library: Library, model: Model) -> None:
    one, other = (simulated_ratings(library.catalogue["gh_post"], PAIR, 5, 1, library, model) for _ in range(2))
    assert one == other
    blank = next(one for one in library.catalogue if not model.outcomes_of(one.id) and one.id not in model.angles)
    with pytest.raises(CannotRead, match="nothing of it"):
        simulated_ratings(blank, PAIR, 5, 1, library, model)


def test_an_examiners_repeatability_reaches_the_reasoning(tmp_path: Path, library: Library) -> None:
    """End to end: simulated ratings to a file of hands by the command, the file to a model, the model to a case.

    Stiff and not stiff tell a tight capsule less apart in the hands of somebody who hardly looks."""
    complaint = Complaint(side=Side.RIGHT, onset=Onset.GRADUAL, weeks=20, areas=("deep",))
    apart = {}
    for name, lapses in (("careful", "0,0"), ("careless", "0.95,0")):
        ratings, hands = tmp_path / f"{name}.csv", tmp_path / f"{name}.toml"
        simulated = ["--simulate", "gh_post", "--examiners", "Anna,Ben", "--lapses", lapses, "--people", "400"]
        told = ["agree", str(ratings), *simulated, "--hands", str(hands), "--examiner", "Anna", "--of", "gh_post"]
        assert main(told) == 0
        own = build_model(library, read_hands(hands.read_text(), hands.name, library))
        odds = []
        for grade in (1, 3):
            case = Case(Person(50), complaint, findings=(Finding("gh_post", Side.RIGHT, mobility=grade),))
            belief = infer(case, own, with_intervals=False).belief("capsule_posterior_middle")
            assert belief is not None
            odds.append(math.log(belief.probability / (1 - belief.probability)))
        apart[name] = odds[0] - odds[1]
    assert apart["careful"] > apart["careless"] + 0.2 > 0.2


def test_people_needed_and_the_picture_by_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["agree", "--people-for", "kappa", "0.4", "0.3", "0.15"]) == 0
    assert capsys.readouterr().out.startswith("169 people")
    assert main(["agree", "--people-for", "kappa", "2", "0.3", "0.15"]) == 1
    assert main(["agree"]) == 1
    ratings, picture = tmp_path / "r.csv", tmp_path / "limits.svg"
    ratings.write_text("anna,ben\n30.5,31\n45,44.5\n60,63\n38,39\n51.5,50\n")
    assert main(["agree", str(ratings), "--svg", str(picture), "--unit", "degrees"]) == 0
    drawn = picture.read_text()
    assert drawn.count("<circle") == 5
    assert "95 % of differences are expected between" in drawn
    assert main(["agree", str(ratings), "--kind", "ordinal", "--svg", str(picture)]) == 1
