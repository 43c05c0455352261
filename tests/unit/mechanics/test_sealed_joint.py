"""What seals the joint, what opens it, what presses an arm that is held up; the frame in which the blade is told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from endfeel.anatomy.rhythm import find_rhythm
from endfeel.anatomy.sizes import default_sizes
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.mechanics import Shoulders, arm_on_thorax, cut, default_shoulder, shortened
from endfeel.mechanics.blade_axes import standard_from_blade
from endfeel.mechanics.contact import build_bed, contact_slopes
from endfeel.mechanics.motions import find_motion, freed
from endfeel.mechanics.study_bench import At, Bench


@pytest.fixture(scope="module")
def person(library: Library) -> Shoulders:
    return default_shoulder(library)


def test_the_air_holds_as_hard_as_published(library: Library, person: Shoulders) -> None:
    """Unfallchirurg 1990;93:19-26 (abstract read), `ligament_geometry.lg245`: 6.9 to 22.9 kp against distraction."""
    published = library.figure("ligament_geometry.lg245.value")
    assert published.low is not None
    assert published.high is not None
    assert published.low < person.bed.suction_limit_n[0] < published.high


def test_the_pressure_has_fallen_before_the_free_fluid_could_fill_the_gap(library: Library, person: Shoulders) -> None:
    """Less than a millilitre of fluid under the face would be the longest lift; the labrum gives by less."""
    most = library.figure("ligament_geometry.lg244.value").high
    assert most is not None
    face_m2 = np.pi * person.socket.half_width_m * person.socket.half_height_m
    assert 0.0 < person.bed.suction_yield_m[0] < most * 1e-6 / face_m2[0]


def test_a_softer_labrum_gives_farther(person: Shoulders) -> None:
    stiff = person.parameters.mean("labrum_modulus_MPa")
    soft = person.parameters.with_values({"labrum_modulus_MPa": stiff / 2.0})
    bed = build_bed(soft, person.socket, person.bed.head_radius_m)
    assert bed.suction_yield_m == pytest.approx(2.0 * person.bed.suction_yield_m)
    assert bed.suction_limit_n == pytest.approx(person.bed.suction_limit_n)


def test_most_of_the_pull_is_there_after_a_few_tenths_of_a_millimetre(person: Shoulders) -> None:
    bed = replace(person.bed, compression_n=np.zeros(1), stiffness_n_per_m=np.zeros_like(person.bed.stiffness_n_per_m))
    pulls = [np.linalg.norm(contact_slopes(bed, lift * bed.outward)[1]) for lift in (0.0, 1e-4, 3e-4, 1e-2)]
    assert pulls == sorted(pulls)
    assert pulls[0] == pytest.approx(bed.suction_n[0])
    assert pulls[2] > 0.9 * bed.suction_limit_n[0]


def test_a_section_lets_air_in_and_a_tuck_does_not(library: Library, person: Shoulders) -> None:
    bench = Bench(library, person)
    assert (bench.people(cut("middle_GHL")).bed.suction_limit_n == 0.0).all()
    assert (bench.people(shortened("middle_GHL", by_mm=5.0)).bed.suction_limit_n > 0.0).all()
    assert (bench.people(vented=True).bed.suction_n == 0.0).all()


def test_an_arm_held_up_presses_with_most_of_body_weight(library: Library, person: Shoulders) -> None:
    bench = Bench(library, person)
    ratio = number(library.figure("claim_settings.cs011.value"))
    weight = number(library.figure("claim_settings.cs012.value"))
    assert bench.acting().bed.compression_n == pytest.approx(ratio * weight)
    assert bench.acting().bed.compression_n[0] > bench.people(living=True).bed.compression_n[0]


def test_the_blade_is_told_in_a_frame_that_faces_with_the_socket(library: Library) -> None:
    """Seen from above its lateral axis lies within two degrees of the line from which version is measured."""
    turn = standard_from_blade(library)
    assert turn.T @ turn == pytest.approx(np.eye(3), abs=1e-9)
    assert np.linalg.det(turn) == pytest.approx(1.0)
    sizes = default_sizes(library)
    line = turn.T @ (sizes.glenohumeral_m - sizes.spine_root_m)
    assert abs(np.degrees(np.arctan2(line[0], line[2]))) < 2.0


def test_studies_on_the_trunk_and_poses_on_the_trunk_are_in_one_frame(library: Library, person: Shoulders) -> None:
    bench = Bench(library, person)
    for elevation in (30.0, 90.0):
        posed = bench.posed(bench.people(), At(elevation, "frontal", 0.0, "HT"))
        assert posed.rotation[0] == pytest.approx(arm_on_thorax(library, elevation, 0.0, 0.0), abs=1e-9)


def test_a_blade_left_free_is_in_that_frame_too(library: Library) -> None:
    motion = find_motion(library, "abduction")
    free = freed(motion, library)
    arm_angles = np.deg2rad(60.0)
    followed = find_rhythm(library).follow(0.0, arm_angles).thorax_from_scapula @ standard_from_blade(library)
    assert followed @ free.humerus(arm_angles) == pytest.approx(
        motion.scapula_in_thorax @ motion.humerus(arm_angles), abs=1e-9
    )
