"""The passive cuff and the tilt of the socket: both from anatomy, neither fitted.

Sources: glenopolar angle of 100 dry scapulae 42.3 degrees (lg247, read) and of 68 others 38.65 (SD 5.65) (lg248, read).
Tensions are worked by hand from the rows of `cuff_muscles` (label memory).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from endfeel.anatomy.frames import scapula_frame
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.mechanics import cut, draw_population
from endfeel.mechanics.bands import build_socket
from endfeel.mechanics.blade_axes import line_of_the_socket_rad
from endfeel.mechanics.cuff import cuff_compression_n, cuff_names, without_cuff
from endfeel.mechanics.motions import published_limits
from endfeel.mechanics.parameters import BANDS
from endfeel.mechanics.shoulder import HANGING, Shoulders, default_shoulder


@pytest.fixture(scope="module")
def person(library: Library) -> Shoulders:
    return default_shoulder(library)


def hanging(library: Library) -> np.ndarray:
    motion = published_limits(library)[HANGING].motion
    return motion.humerus(motion.start_rad)


def test_the_socket_stands_on_the_blade_as_measured_on_scapulae(person: Shoulders, library: Library) -> None:
    """The line of the glenoid's poles, of bone, against the line from the upper pole to the inferior angle."""
    sizes = person.traits.sizes
    bony = replace(person.traits, inclination_rad=sizes.glenoid_inclination_rad)
    socket = build_socket(person.parameters, bony)
    half = socket.half_height_m[:, None]
    upper, lower = (socket.on_face(np.zeros((1, 1)), sign * half)[0, 0] for sign in (1.0, -1.0))
    axes = scapula_frame(sizes.acromioclavicular_m, sizes.spine_root_m, sizes.inferior_angle_m)[0]
    tip = axes.T @ (sizes.inferior_angle_m - sizes.glenohumeral_m)[0]
    along, down = lower - upper, tip - upper
    angle = np.degrees(np.arccos(along @ down / np.linalg.norm(along) / np.linalg.norm(down)))
    spread = number(library.figure("ligament_geometry.lg248.sd"))
    for row in ("lg247", "lg248"):
        assert abs(angle - number(library.figure(f"ligament_geometry.{row}.value"))) < spread


def test_inclination_is_counted_from_the_line_to_the_root_of_the_spine(person: Shoulders) -> None:
    sizes = person.traits.sizes
    rise, forward = line_of_the_socket_rad(sizes)
    assert np.degrees(rise) == pytest.approx([-15.85], abs=0.1)
    assert np.degrees(forward) == pytest.approx([-1.44], abs=0.05)
    level = build_socket(person.parameters, replace(person.traits, inclination_rad=-rise)).axes[0, :, 2]
    assert level[1] == pytest.approx(0.0, abs=1e-12)


def test_a_muscle_at_rest_pulls_by_area_modulus_and_sarcomere(person: Shoulders, library: Library) -> None:
    """Arm hanging, head seated: subscapularis 40 kPa x 15.5 cm2 x (2.52 / 2.3 - 1) = 5.9 N, and so on."""
    alone = person.changed(cut("whole_capsule"))
    bands = alone._bands(alone._every(hanging(library)), np.zeros((1, 3)), np.ones(1, dtype=bool))
    for name, newtons, strain in zip(
        cuff_names(library), (5.93, 10.76, 16.38, 3.22), (9.57, 40.43, 38.26, 21.74), strict=True
    ):
        one = bands.of(name)
        assert one.tension_n[0, 0] == pytest.approx(newtons, abs=0.01)
        assert one.strain_percent[0, 0] == pytest.approx(strain, abs=0.01)


def test_tone_is_what_the_cuff_leaves_over(person: Shoulders, library: Library) -> None:
    pressed = cuff_compression_n(person.capsule, person.socket, hanging(library))
    assert 20.0 < pressed[0] < 37.0
    assert person.bed.compression_n[0] + pressed[0] == pytest.approx(person.parameters.mean("living_compression_N"))


def test_a_laboratory_takes_the_cuff_off_or_leaves_it(person: Shoulders, library: Library) -> None:
    bare, left = person.in_laboratory(), person.in_laboratory(cuff=True)
    for name in cuff_names(library):
        assert bare.bands_at(hanging(library)).of(name).tension_n[0, 0] == 0.0
        assert left.bands_at(hanging(library)).of(name).tension_n[0, 0] > 1.0
    assert bare.bed.compression_n[0] == left.bed.compression_n[0] == 22.0
    limits = [one.passive_limit("external rotation, arm at side").angle_deg[0] for one in (left, bare)]
    assert limits[0] < limits[1]


def test_what_is_drawn_is_the_capsule_alone(person: Shoulders) -> None:
    drawn = without_cuff(person.capsule)
    assert drawn.bands == BANDS
    assert drawn.slack_m.shape == (1, 41)
    assert set(drawn.band_of_fibre) == set(range(len(BANDS)))


def test_no_drawn_strand_is_without_length(library: Library) -> None:
    people = draw_population(library, 200, seed=3)
    assert (people.capsule.slack_m > 0.0).all()
    assert (people.bed.compression_n > 0.0).all()
