"""The drawn shoulder over HTTP: scene, shapes, still picture, page; what is refused says why."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Any

import pytest


def test_a_scene_is_json_with_units_in_its_names(client: Any) -> None:
    answer = client.get("/api/scene?procedure=gh_post&side=left")
    assert answer.status_code == 200
    told = answer.json()
    assert told["side"] == "left"
    assert {bone["id"] for bone in told["bones"]} >= {"clavicle", "scapula", "humerus", "forearm", "trunk"}
    assert {one["role"] for one in told["arrows"]} == {"moves", "fossa"}
    assert told["lit"] == []
    assert "left shoulder up" in told["words"]
    assert told["eye"].keys() == {"turn_rad", "height_rad", "target_m", "wide_m"}


def test_a_visit_lights_its_contributors(client: Any, example_id: str) -> None:
    told = client.get(f"/api/scene?procedure=gh_post&side=right&visit={example_id}").json()
    assert told["lit"]
    assert all(one["probability"] >= 0.15 for one in told["lit"])
    assert [one["probability"] for one in told["lit"]] == sorted((x["probability"] for x in told["lit"]), reverse=True)
    assert "Lit as contributors" in told["words"]


@pytest.mark.parametrize(
    ("address", "status", "said"),
    [
        ("/api/scene?procedure=moon", 404, "No procedure"),
        ("/api/scene?procedure=grip", 409, "hand squeezes"),
        ("/api/scene?procedure=gh_post&level=T99", 422, "level"),
        ("/api/scene?procedure=gh_post&side=both", 422, "side"),
        ("/api/scene/pose?elevation=900", 422, "elevation"),
    ],
)
def test_what_cannot_be_drawn_says_why(client: Any, address: str, status: int, said: str) -> None:
    answer = client.get(address)
    assert answer.status_code == status
    assert said in answer.text


def test_the_shapes_are_kept_by_the_browser_and_differ_by_side(client: Any) -> None:
    right, left = (client.get(f"/api/scene/shapes?side={side}") for side in ("right", "left"))
    assert "max-age" in right.headers["cache-control"]
    assert right.json()["shapes"][0]["points_mm"] != left.json()["shapes"][0]["points_mm"]


def test_the_still_picture_is_svg_with_title_and_words(client: Any) -> None:
    answer = client.get("/shoulder/picture.svg?procedure=st_upward&side=right")
    assert answer.headers["content-type"].startswith("image/svg+xml")
    root = ET.fromstring(answer.text)  # noqa: S314 (our own picture)
    title, words = root[0], root[1]
    assert "upward rotation" in str(title.text)
    assert "holds: thorax" in str(words.text)
    assert len(root.findall(".//{http://www.w3.org/2000/svg}path")) > 40
    assert len(answer.text) < 350_000


def test_the_page_works_without_scripts_and_a_pose_is_asked_by_form(client: Any) -> None:
    page = client.get("/shoulder?procedure=gh_inf&side=left").text
    assert '<noscript><img src="/shoulder/picture.svg?procedure=gh_inf&amp;side=left"' in page
    assert 'data-scene="/api/scene?procedure=gh_inf&amp;side=left"' in page
    posed = client.get("/shoulder?pose=true&elevation=90&plane=0").text
    assert "/api/scene/pose?side=right&amp;plane=0&amp;elevation=90" in posed
    assert "There is no picture" not in page
    assert "Not drawn: the hand squeezes" in client.get("/shoulder?procedure=grip").text


def test_the_visit_shows_the_drawing_beside_what_to_do_now(client: Any, visit_id: str) -> None:
    page = client.get(f"/visits/{visit_id}?do=gh_post").text
    assert f"visit={visit_id}" in page
    assert 'src="/static/shoulder/viewer.js"' in page
    assert "data-drawn" not in client.get(f"/visits/{visit_id}?do=grip").text
