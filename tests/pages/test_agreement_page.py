"""The page of agreement: pasted tables, gaps, pictures, faults, people needed; nothing is kept."""

from __future__ import annotations

from starlette.testclient import TestClient

from endfeel import care
from endfeel.assessment import read_case
from endfeel.care import Desk
from endfeel.records.hands import keep_hands
from endfeel.records.store import transaction
from endfeel.vocabulary import Complaint, Person, Side

GRADES = "Anna;Ben;Carla\n2;3;2\n3;3;3\n3;-;3\n1;1;2\n4;4;4\n2;2;2\n"
READINGS = "Anna\tBen\n30,5\t31\n45\t44,5\n60\t63\n38\t39\n"


def test_a_pasted_table_with_gaps_gives_every_coefficient(client: TestClient) -> None:
    html = client.post("/agreement", data={"text": GRADES}).text
    for word in ("6 people rated by two or more of 3 examiners, 5 by all", "AC2, quadratic", "alpha, ordinal",
                 "Anna and Carla", "agreed on it", "left out where everybody is needed"):  # fmt: skip
        assert word in html


def test_readings_are_drawn(client: TestClient) -> None:
    html = client.post("/agreement", data={"text": READINGS, "unit": "degrees"}).text
    for word in ("ICC(2,1)", "<circle", "mean of both (degrees)", "Standard error of measurement"):
        assert word in html


def test_a_file_stands_for_the_pasted_text_and_a_bad_cell_is_named(client: TestClient) -> None:
    file = {"file": ("r.csv", b"Anna,Ben\n1,2\n2,2\n3,3\n", "text/csv")}
    assert "kappa" in client.post("/agreement", data={"text": ""}, files=file).text
    answer = client.post("/agreement", data={"text": "Anna,Ben\n1.5,x\n2.5,3\n"})
    assert answer.status_code == 422
    assert "cell cannot be read" in answer.text
    assert client.post("/agreement", data={"text": " "}).status_code == 422


def test_people_needed(client: TestClient) -> None:
    asked = {"for": "kappa", "value": "0,4", "other": "0.3", "reach": "0.15"}
    assert "169 people" in client.post("/agreement/people", data=asked).text
    assert (
        "55 people"
        in client.post(
            "/agreement/people", data={**asked, "for": "icc", "value": "0.8", "other": "2", "reach": "0.1"}
        ).text
    )
    assert "98 people" in client.post("/agreement/people", data={"for": "limits", "reach": "0.34"}).text
    assert "Cannot be reckoned" in client.post("/agreement/people", data={**asked, "value": "much"}).text


def test_names_that_are_markup_stay_words(client: TestClient) -> None:
    html = client.post("/agreement", data={"text": "<b>A</b>,Ben\n30.5,31\n45,44.5\n60,63\n38,39\n"}).text
    assert "<b>A</b>" not in html


HANDS = "Anna,Ben\n" + "\n".join(["2,2", "2,3", "3,2", "3,3", "2,3", "3,3", "3,2", "2,2", "3,3", "3,2"])
"""Mobility grades on which two examiners hardly agree."""


def visit_with(desk: Desk, line: str) -> str:
    """A visit in which this was found by whoever sits at the desk."""
    person = care.new_person(desk, "Invented, own hands", Person(50, "female", Side.RIGHT), invented=True)
    visit = care.open_visit(desk, care.open_episode(desk, person, Complaint(side=Side.RIGHT, weeks=20)))
    care.record_line(desk, visit, line)
    return visit


def test_ones_own_agreement_is_kept_from_the_page_and_reads_what_one_finds(client: TestClient, desk: Desk) -> None:
    visit = visit_with(desk, "gh post glide right 1")
    before = care.view_visit(desk, visit).assessment
    shown = client.post("/agreement", data={"text": HANDS, "kind": "ordinal"}).text
    assert "Use it as your own hands" in shown
    told = {"text": HANDS, "kind": "ordinal", "examiner": "Anna"}
    for wrong, says in (
        ({"procedure": ""}, "say which test"),
        ({"procedure": "hawkins"}, "neither graded nor measured"),
    ):
        answer = client.post("/agreement/hands", data={**told, **wrong})
        assert answer.status_code == 422
        assert says in answer.text.lower()
        assert "Anna" in answer.text
    assert client.post("/agreement/hands", data={**told, "procedure": "gh_post"}).status_code == 303
    kept = client.get("/agreement").text
    assert "Your own hands" in kept
    assert "on 10 people" in kept
    after = care.view_visit(desk, visit).assessment
    capsule = [one.posterior.belief("capsule_posterior_middle", Side.RIGHT) for one in (before, after)]
    assert capsule[0] is not None
    assert capsule[1] is not None
    assert abs(capsule[1].probability - capsule[1].prior) < abs(capsule[0].probability - capsule[0].prior)
    said = " ".join(after.posterior.caveats)
    assert "your own hands" in said
    assert "Anna" in said
    assert "Anna" in client.get(f"/visits/{visit}").text
    assert "Anna" in client.get(f"/visits/{visit}/note").text, "the paper says it too"
    text = "side: right\nweeks: 20\n\ngh post glide right 1\n"
    brought = care.import_case(desk, read_case(text, "x.txt", desk.library))
    of_a_file = care.view_visit(desk, brought).assessment
    said = " ".join(of_a_file.posterior.caveats)
    assert "Anna" not in said
    assert "came from a file" in said, "a file does not tell whose hands"
    assert client.post("/agreement/hands/remove").status_code == 303
    again = care.view_visit(desk, visit).assessment
    assert again.posterior.beliefs == before.posterior.beliefs
    by_usual_hands = care.view_visit(desk, brought).assessment
    assert by_usual_hands.posterior.beliefs == of_a_file.posterior.beliefs
    assert "Your own hands" not in client.get("/agreement").text


def test_hands_that_new_evidence_cannot_read_stop_no_visit(client: TestClient, desk: Desk) -> None:
    visit = visit_with(desk, "gh post glide right 1")
    usual = care.view_visit(desk, visit).assessment.posterior
    with transaction(desk.engine) as session:
        gone = 'name = "Anna"\n\n[[agreement]]\nprocedure = "gone"\noutcome = "hypo"\nkappa = 0.1\nsubjects = 9\n'
        keep_hands(session, "", desk.clock(), gone)
    found = care.view_visit(desk, visit).assessment.posterior
    assert found.beliefs == usual.beliefs
    assert "keep it anew" in " ".join(found.caveats)
    assert "keep it anew" in client.get("/agreement").text
    told = {"text": HANDS, "kind": "ordinal", "examiner": "Anna", "procedure": "gh_post"}
    assert client.post("/agreement/hands", data=told).status_code == 303
    assert "on 10 people" in client.get("/agreement").text
