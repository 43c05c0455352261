"""The drawn shoulder as a value: every procedure has a scene or a reason, sides mirror, arrows follow the joint."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from endfeel.anatomy.frames import mirrored_points, mirrored_rotation
from endfeel.evidence.library import Library
from endfeel.mechanics.cuff import without_cuff
from endfeel.mechanics.fibre_paths import fibre_paths
from endfeel.mechanics.shoulder import arm_on_thorax
from endfeel.pictures.drawn import (
    Belief,
    Model,
    drawn_scene,
    lit_scene,
    model_of,
    posed_scene,
    scene_json,
    scene_words,
    shapes_json,
    surfaces,
    why_not_drawn,
)
from endfeel.pictures.drawn.arrows import along_socket
from endfeel.pictures.drawn.places import find_place
from endfeel.pictures.drawn.poses import stance
from endfeel.pictures.drawn.room import room_from_thorax
from endfeel.pictures.drawn.solids import Mesh, ellipsoid, lofted
from endfeel.pictures.strain_scale import StrainScale, scale_of
from endfeel.vocabulary import NotFound, Position, Refused, Side

KEPT = Path(__file__).parents[2] / "kept"


@pytest.fixture(scope="module")
def model(library: Library) -> Model:
    return model_of(library)


@pytest.fixture(scope="module")
def scale(library: Library, model: Model) -> StrainScale:
    return scale_of(library, model.shoulders.parameters)


def test_every_procedure_is_drawn_or_says_why_not(library: Library, model: Model, scale: StrainScale) -> None:
    drawn, left_out = 0, 0
    for procedure in library.catalogue:
        reason = why_not_drawn(library, procedure.id)
        if reason:
            left_out += 1
            with pytest.raises(Refused, match=reason.split(";")[0][:20]):
                drawn_scene(model, procedure.id, Side.RIGHT)
            continue
        drawn += 1
        scene = drawn_scene(model, procedure.id, Side.RIGHT)
        told = scene_json(scene, scale)
        assert len(told["bones"]) == 9
        assert np.isfinite([bone["end_place_m"] for bone in told["bones"]]).all(), procedure.id
        assert scene.arrows or scene.kind in ("feel", "show"), procedure.id
        by_hand = procedure.technique != "active"
        assert scene.hands or not by_hand or scene.kind == "show", procedure.id
        assert len(scene_words(scene, scale)) > 60
    assert drawn + left_out == len(list(library.catalogue))
    assert drawn > 180


def test_every_hand_on_procedure_with_a_fixed_bone_shows_what_is_held(library: Library) -> None:
    """What the catalogue says a hand fixes, the picture shows; where the couch fixes, it need not."""
    for row in library.tables["drawn_procedures"]:
        procedure = library.catalogue[row.text["procedure"]]
        if row.text["kind"] in ("glide", "test", "push") and procedure.fixed not in ("none", "couch"):
            assert row.text.get("fixed_place"), procedure.id


def test_an_unknown_procedure_and_an_unknown_place_are_named(model: Model) -> None:
    with pytest.raises(NotFound, match="no procedure"):
        drawn_scene(model, "no_such_thing", Side.RIGHT)
    with pytest.raises(NotFound, match="no place 'moon'"):
        find_place("moon", "", model.shoulders)


@pytest.mark.parametrize("procedure", ["gh_post", "st_elevation", "th_ext_glide_uni_up", "sc_inf_lat", "gh_flex"])
def test_the_left_is_the_mirrored_right(model: Model, procedure: str) -> None:
    beliefs = (Belief("cuff_pain", "cuff-related pain", None, None, 0.5),)
    right, left = (drawn_scene(model, procedure, side, beliefs=beliefs) for side in (Side.RIGHT, Side.LEFT))
    for one, other in zip(right.bones, left.bones, strict=True):
        np.testing.assert_allclose(mirrored_points(one.end_place_m), other.end_place_m)
        np.testing.assert_allclose(mirrored_rotation(one.end_turn), other.end_turn)
    for one_arrow, other_arrow in zip(right.arrows, left.arrows, strict=True):
        np.testing.assert_allclose(mirrored_points(one_arrow.points_m), other_arrow.points_m)
    for one_hand, other_hand in zip(right.hands, left.hands, strict=True):
        np.testing.assert_allclose(mirrored_points(one_hand.end_point_m), other_hand.end_point_m)
        assert one_hand.is_left is not other_hand.is_left
    np.testing.assert_allclose(mirrored_points(right.lit[0].points_m), left.lit[0].points_m)
    assert [fibre.strain_percent for fibre in right.end_fibres] == [fibre.strain_percent for fibre in left.end_fibres]


def test_the_shapes_of_the_left_are_those_of_the_right_mirrored_and_still_seen_from_outside(model: Model) -> None:
    for one, other in zip(surfaces(model, Side.RIGHT), surfaces(model, Side.LEFT), strict=True):
        if one.shape == "hand":
            continue
        np.testing.assert_allclose(mirrored_points(one.mesh.points_m), other.mesh.points_m)
        assert _volume_m3(one.mesh) > 0.0
        assert _volume_m3(other.mesh) == pytest.approx(_volume_m3(one.mesh))


@pytest.mark.parametrize("direction", ["anterior", "posterior", "inferior", "superior", "posteroinferior"])
def test_the_arrow_of_a_glide_is_tangential_to_the_socket(model: Model, direction: str) -> None:
    at = stance(model, [30.0, 40.0, 0.0], 90.0)
    large, small = along_socket(model, at, direction)
    assert (large.role, small.role) == ("moves", "fossa")
    socket = model.shoulders.socket
    seat = at.glenohumeral_m(model.sizes)
    axes = model.capsule_axes(at)
    centre = seat + axes @ socket.centre_m[0]
    spokes = small.points_m - centre
    np.testing.assert_allclose(np.linalg.norm(spokes, axis=1), socket.curvature_m[0])
    for arrow in (large, small):
        along = np.gradient(arrow.points_m, axis=0)[1:-1]
        along /= np.linalg.norm(along, axis=1, keepdims=True)
        normal = spokes[1:-1] / np.linalg.norm(spokes[1:-1], axis=1, keepdims=True)
        np.testing.assert_allclose(np.einsum("ki,ki->k", along, normal), 0.0, atol=1e-9)
    # at the bottom of the curve it points where the glide is asked to go
    way = axes @ model.shoulders.way(direction)[0]
    bottom = np.argmin(np.linalg.norm(spokes + socket.curvature_m[0] * (axes @ socket.axes[0, :, 2]), axis=1))
    step = small.points_m[bottom + 1] - small.points_m[bottom - 1]
    assert step @ way / np.linalg.norm(step) > 0.97


@pytest.mark.parametrize(
    ("procedure", "point", "way", "sense"),
    [
        # which way a landmark of the blade goes, as the words of the motion have it
        ("st_upward", "inferior_angle", [0.0, 0.0, 1.0], 1.0),
        ("st_downward", "inferior_angle", [0.0, 0.0, 1.0], -1.0),
        ("st_post_tilt", "inferior_angle", [1.0, 0.0, 0.0], 1.0),
        ("st_ant_tilt", "inferior_angle", [1.0, 0.0, 0.0], -1.0),
        ("st_med_rot", "medial_border", [1.0, 0.0, 0.0], -1.0),
        ("st_lat_rot", "medial_border", [1.0, 0.0, 0.0], 1.0),
        ("st_elevation", "acromion", [0.0, 1.0, 0.0], 1.0),
        ("st_depression", "acromion", [0.0, 1.0, 0.0], -1.0),
        ("st_protraction", "acromion", [1.0, 0.0, 0.0], 1.0),
        ("st_retraction", "acromion", [1.0, 0.0, 0.0], -1.0),
    ],
)
def test_the_blade_moves_as_the_motion_says(
    model: Model, procedure: str, point: str, way: list[float], sense: float
) -> None:
    scene = drawn_scene(model, procedure, Side.RIGHT)
    blade = next(bone for bone in scene.bones if bone.id == "scapula")
    place = find_place(point, "", model.shoulders).point_m
    shift = (blade.end_turn @ place + blade.end_place_m) - (blade.turn @ place + blade.place_m)
    assert sense * (shift @ np.array(way)) > 0.001


def test_the_strain_is_what_the_mechanics_says(model: Model) -> None:
    scene = posed_scene(model, [30.0, 80.0, -20.0], 90.0, Side.LEFT)
    pose = arm_on_thorax(model.library, 80.0, 30.0, -20.0)  # what `endfeel restraint --frame thorax` reckons with
    np.testing.assert_allclose(model.capsule_pose(stance(model, [30.0, 80.0, -20.0], 90.0)), pose, atol=1e-12)
    told = fibre_paths(model.shoulders, pose)
    assert [fibre.band for fibre in scene.fibres] == [told.bands[place] for place in told.band_of_fibre]
    np.testing.assert_allclose([fibre.strain_percent for fibre in scene.fibres], told.strain_percent[0])


@pytest.mark.parametrize("side", list(Side))
@pytest.mark.parametrize("procedure", ["gh_er_90", "gh_ir_sidelying", "gh_post", "gh_flex", "ac_ant"])
def test_fibres_begin_on_the_drawn_rim_or_coracoid_and_end_on_the_drawn_head(
    model: Model, procedure: str, side: Side
) -> None:
    """In the bones as they are painted: the nearest points of their surfaces, before and after the movement."""
    capsule, scene = model.shoulders.capsule, drawn_scene(model, procedure, side)
    shapes = {(one.shape, one.material): one.mesh.points_m for one in surfaces(model, side)}
    bones = {bone.id: bone for bone in scene.bones}
    count = len(without_cuff(capsule).band_of_fibre)
    for fibres, at in ((scene.fibres, ""), (scene.end_fibres, "end_")):

        def painted(shape: str, material: str, at: str = at) -> Any:
            bone = bones[shape]
            return shapes[shape, material] @ getattr(bone, f"{at}turn").T + getattr(bone, f"{at}place_m")

        blade, head = painted("scapula", "bone"), bones["humerus"]
        middle, radius = getattr(head, f"{at}place_m"), float(model.shoulders.bed.head_radius_m[0])
        for fibre in fibres[:count]:
            begins = np.linalg.norm(blade - fibre.points_m[0], axis=1).min()
            assert begins < 0.012, (fibre.band, begins)
            off = np.linalg.norm(fibre.points_m[1:] - middle, axis=1)
            assert off[-1] == pytest.approx(radius, abs=0.002), fibre.band
            assert (off > radius - 0.002).all(), "a fibre goes round the drawn head, not through it"


def test_a_passive_test_is_drawn_at_its_end_with_a_taut_band_and_a_glide_with_its_head_in_the_socket(
    model: Model, scale: StrainScale
) -> None:
    scene = drawn_scene(model, "gh_er_90", Side.RIGHT)
    assert max(fibre.strain_percent for fibre in scene.end_fibres) > scale.toe
    assert max(fibre.strain_percent for fibre in scene.fibres) < max(f.strain_percent for f in scene.end_fibres)
    glide = drawn_scene(model, "gh_post", Side.RIGHT)
    assert 0.0 < glide.force_n <= glide.asked_force_n
    if glide.force_n < glide.asked_force_n:
        assert "slips over the rim" in scene_words(glide, scale)


def test_what_is_lit_lies_on_its_side_and_no_other(model: Model) -> None:
    scene = drawn_scene(model, "gh_post", Side.LEFT)
    beliefs = (
        Belief("ac_arthropathy", "AC arthropathy", Side.LEFT, None, 0.4),
        Belief("ac_sprain", "AC sprain", Side.RIGHT, None, 0.9),
        Belief("capsule_posterior_middle", "posterior capsule", Side.LEFT, None, 0.6),
        Belief("segment_stiffness", "segmental stiffness T5", None, "T5", 0.5),
    )
    lit = {one.contributor: one for one in lit_scene(model, scene, beliefs).lit}
    assert set(lit) == {"ac_arthropathy", "capsule_posterior_middle", "segment_stiffness"}
    clavicle = next(bone for bone in scene.bones if bone.id == "clavicle")
    outer = clavicle.end_place_m + clavicle.end_turn @ np.array([0.0, 0.0, -float(model.sizes.clavicle_length_m)])
    assert np.linalg.norm(lit["ac_arthropathy"].points_m[0] - outer) < 0.03
    assert lit["capsule_posterior_middle"].bands == ("posterior_capsule_middle",)
    np.testing.assert_allclose(lit["segment_stiffness"].points_m[0][2], 0.0, atol=1e-12)


def test_every_contributor_is_shown_somewhere(library: Library, model: Model) -> None:
    shown = {row.text["contributor"]: row for row in library.tables["drawn_contributors"]}
    wanted = {one["id"] for one in library.documents["contributors"]["contributor"]}
    assert wanted <= set(shown)
    for row in library.tables["drawn_contributors"]:
        if row.text["part_kind"] == "place":
            find_place(row.text["part"], "", model.shoulders)
        elif row.text["part_kind"] == "band":
            assert row.text["part"] in model.shoulders.band_names


@pytest.mark.parametrize("position", list(Position))
@pytest.mark.parametrize("side", list(Side))
def test_the_person_is_turned_and_never_turned_inside_out(position: Position, side: Side) -> None:
    turn = room_from_thorax(position, side)
    np.testing.assert_allclose(turn @ turn.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(turn) == pytest.approx(1.0)
    if position is Position.SIDE_LYING:
        lateral = np.array([0.0, 0.0, 1.0 if side is Side.RIGHT else -1.0])
        np.testing.assert_allclose(turn @ lateral, [0.0, 1.0, 0.0], atol=1e-12)


def test_a_loft_is_closed_and_looks_outward() -> None:
    ball = ellipsoid(np.zeros(3), [1.0, 2.0, 3.0], 40, 60)
    assert _volume_m3(ball) == pytest.approx(4.0 / 3.0 * np.pi * 6.0, rel=0.01)
    assert (np.einsum("ki,ki->k", ball.normals(), ball.points_m) > 0.0).all()
    edges = np.sort(ball.triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1)
    assert (np.unique(edges, axis=0, return_counts=True)[1] == 2).all()
    assert len(lofted(np.zeros((3, 4, 3))).points_m) == 14


def test_the_kept_scene_is_the_scene_of_today(library: Library, model: Model, scale: StrainScale) -> None:
    """The browser tests read it. After a wanted change: `python scripts/keep_scene.py`. Strains are the mechanics' own
    and tested there: of the fibres only names and form are compared."""
    kept = json.loads((KEPT / "drawn_scene.json").read_text(encoding="utf-8"))
    beliefs = tuple(Belief(one["contributor"], one["name"], None, "T5", one["probability"]) for one in kept["lit"])
    today = scene_json(drawn_scene(model, kept["procedure"], Side(kept["side"]), beliefs=beliefs), scale)
    assert today.keys() == kept.keys()
    for name in ("schema", "procedure", "side", "position", "kind", "strain_steps", "person_turn", "levels"):
        assert today[name] == kept[name], name
    for name in ("bones", "hands", "arrows"):
        assert _words(today[name]) == _words(kept[name]), name
    still = [bone for bone in today["bones"] if bone["id"] != "humerus" and bone["id"] != "forearm"]
    for bone, before in zip(still, [b for b in kept["bones"] if b["id"] in {s["id"] for s in still}], strict=True):
        np.testing.assert_allclose(bone["place_m"], before["place_m"], atol=1e-4)
    assert [one["band"] for one in today["fibres"]] == [one["band"] for one in kept["fibres"]]
    assert [len(one["points_m"]) for one in today["fibres"]] == [len(one["points_m"]) for one in kept["fibres"]]
    shapes = json.loads((KEPT / "drawn_shapes.json").read_text(encoding="utf-8"))
    again = shapes_json(surfaces(model, Side.RIGHT), Side.RIGHT)
    assert [one["shape"] for one in again["shapes"]] == [one["shape"] for one in shapes["shapes"]]
    for one, before in zip(again["shapes"], shapes["shapes"], strict=True):
        assert one["triangles"] == before["triangles"], one["shape"]
        np.testing.assert_allclose(one["points_mm"], before["points_mm"], atol=0.11)


def _words(parts: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [{name: value for name, value in part.items() if isinstance(value, (str, bool))} for part in parts]


def _volume_m3(mesh: Mesh) -> float:
    a, b, c = (mesh.points_m[mesh.triangles[:, corner]] for corner in range(3))
    return float(np.einsum("ki,ki->", a, np.cross(b, c)) / 6.0)
