"""The page of agreement: pasted tables, gaps, pictures, faults, people needed; nothing is kept."""

from __future__ import annotations

from starlette.testclient import TestClient

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
