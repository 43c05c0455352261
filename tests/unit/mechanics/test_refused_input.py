"""What no shoulder can be asked is refused in words, and what failed says so."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from endfeel.anatomy.girdle import girdle_pose
from endfeel.anatomy.rhythm import DEFAULT_RHYTHM, find_rhythm
from endfeel.anatomy.sizes import default_sizes
from endfeel.evidence.library import Library
from endfeel.mechanics import acromioclavicular as ac
from endfeel.mechanics import arm, arm_on_thorax, default_shoulder, draw_population, lengthened, shortened
from endfeel.mechanics import sternoclavicular as sc
from endfeel.mechanics.changes import Change
from endfeel.mechanics.girdle_glides import Glide
from endfeel.mechanics.shoulder import Shoulders
from endfeel.vocabulary import NotFound


@pytest.fixture(scope="module")
def one(library: Library) -> Shoulders:
    return default_shoulder(library)


@pytest.mark.parametrize(
    "pose", [np.zeros((3, 3)), np.zeros(3), np.diag([1.0, 1.0, -1.0]), np.full((3, 3), np.nan), np.eye(3) * 1.01]
)
def test_what_is_no_rotation_is_no_pose(one: Shoulders, pose: np.ndarray) -> None:
    with pytest.raises(ValueError, match="a pose is a rotation"):
        one.bands_at(pose)


@pytest.mark.parametrize("elevation", [-60.0, 500.0, float("nan")])
def test_an_arm_is_raised_no_farther_than_it_goes(elevation: float) -> None:
    with pytest.raises(ValueError, match="0 to 180"):
        arm(elevation)


def test_a_turn_that_is_no_number_is_named_and_a_trunk_is_no_exception(library: Library) -> None:
    with pytest.raises(ValueError, match="rotation nan"):
        arm(30.0, 0.0, float("nan"))
    for elevation in (-30.0, 200.0, float("nan")):
        with pytest.raises(ValueError, match="0 to 180"):
            arm_on_thorax(library, elevation)


@pytest.mark.parametrize("angles", [[], [60.0, float("nan")]])
def test_a_head_is_followed_through_angles(one: Shoulders, angles: list[float]) -> None:
    with pytest.raises(ValueError, match="one angle or more"):
        one.obligate_translation("flexion", angles)


@pytest.mark.parametrize("forces", [[], [0.0, -5.0], [float("nan")]])
def test_a_curve_is_of_forces(one: Shoulders, forces: list[float]) -> None:
    with pytest.raises(ValueError, match="pushes of 0 N or more"):
        one.stiffness_curve(arm(30.0), "anterior", forces)


@pytest.mark.parametrize("count", [0, -1, 2.5])
def test_people_are_whole(library: Library, count: int) -> None:
    with pytest.raises(ValueError, match="at least one shoulder and no part of one"):
        draw_population(library, count)


@pytest.mark.parametrize("force", [float("nan"), float("inf"), -5.0])
def test_a_push_is_a_force(one: Shoulders, force: float) -> None:
    with pytest.raises(ValueError, match="a push is"):
        one.translation(arm(30.0), "anterior", force)


@pytest.mark.parametrize("translate", [ac.translate, sc.translate])
@pytest.mark.parametrize("force", [float("nan"), float("inf"), -5.0, [10.0, -5.0]])
def test_a_push_on_the_clavicle_is_a_force_too(
    library: Library, translate: Callable[..., Glide], force: object
) -> None:
    with pytest.raises(ValueError, match=r"a push is 0 N or more.*the direction says which way"):
        translate(library, "anterior", force)


@pytest.mark.parametrize("change", [shortened, lengthened])
def test_a_change_says_by_how_much(change: Callable[..., Change]) -> None:
    with pytest.raises(ValueError, match=r"'middle_GHL'\) does not say by how much: ratio="):
        change("middle_GHL")
    assert change("middle_GHL", ratio=1.0) == Change("middle_GHL")
    assert change("middle_GHL", by_mm=0.0) == Change("middle_GHL")


@pytest.mark.parametrize("moment", [0.0, -1.0, float("nan")])
def test_a_motion_is_stopped_against_a_moment(one: Shoulders, moment: float) -> None:
    with pytest.raises(ValueError, match="moment above 0"):
        one.passive_limit("abduction", moment)


def test_other_words_are_refused_with_those_there_are(one: Shoulders, library: Library) -> None:
    with pytest.raises(NotFound, match="there are: superior_GHL"):
        one.bands_at(arm(30.0)).of("foo")
    with pytest.raises(NotFound, match="clavicle, acromion"):
        ac.translate(library, "anterior", 20.0, moving="foo")  # type: ignore[arg-type]
    with pytest.raises(NotFound, match="female, male"):
        default_sizes(library, "x")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="0 N or more"):
        one.pressed(-10.0)


def test_bands_say_whether_the_head_lies_in_its_socket(one: Shoulders) -> None:
    rest = one.at_rest(arm(30.0))
    bands = one.bands_at(arm(30.0))
    assert bands.seated.tolist() == one.seated(rest.centre_m).tolist()
    assert bands.converged.tolist() == rest.converged.tolist()
    assert bands.of("superior_GHL").seated is bands.seated


def test_a_shoulder_prints_in_a_line(one: Shoulders) -> None:
    assert len(repr(one)) < 600
    assert "1 of evidence release" in repr(one)


def test_a_side_is_read_as_a_word_too_and_no_number_is_refused(library: Library) -> None:
    rhythm, sizes = find_rhythm(library, DEFAULT_RHYTHM), default_sizes(library)
    poses = [girdle_pose(np.radians([40.0, 90.0, 0.0]), rhythm, sizes, side=side) for side in ("left", "right")]  # type: ignore[arg-type]
    left, right = (pose.thorax_from_humerus for pose in poses)
    mirror = np.diag([1.0, 1.0, -1.0])
    assert np.allclose(left, mirror @ right @ mirror)
    with pytest.raises(ValueError, match="all of them numbers"):
        girdle_pose([np.nan, 0.0, 0.0], rhythm, sizes)
    for no_radians in ([40.0, 120.0, 0.0], [0.0, 1.0]):
        with pytest.raises(ValueError, match="in radians"):
            girdle_pose(no_radians, rhythm, sizes)
