"""The chain thorax, clavicle, scapula, humerus against an independent engine: MuJoCo's forward kinematics.

The same lengths and offsets, three hinges a joint in the standard's order; positions and rotations must agree to
rounding. General-purpose reference, no clinical source.
"""

from __future__ import annotations

import mujoco
import numpy as np

from endfeel.anatomy.girdle import girdle_pose, pose_from_joints
from endfeel.anatomy.rhythm import find_rhythm, rhythms
from endfeel.anatomy.sizes import Sizes, default_sizes
from endfeel.anatomy.units import rad_from_deg
from endfeel.evidence.library import Library

_AXES = {"X": "1 0 0", "Y": "0 1 0", "Z": "0 0 1"}


def hinges(sequence: str) -> str:
    return "".join(f'<joint type="hinge" axis="{_AXES[letter]}"/>' for letter in sequence)


def chain(sizes: Sizes) -> mujoco.MjModel:
    def words(point: np.ndarray) -> str:
        return " ".join(f"{value:.17g}" for value in point)

    clavicle = words(np.array([0.0, 0.0, float(sizes.clavicle_length_m)]))
    to_head = words(sizes.glenohumeral_m - sizes.acromioclavicular_m)
    to_tip = words(sizes.inferior_angle_m - sizes.acromioclavicular_m)
    weight = '<inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>'
    return mujoco.MjModel.from_xml_string(f"""
    <mujoco><compiler angle="radian"/><worldbody>
      <body name="clavicle" pos="{words(sizes.sternoclavicular_m)}">{weight}{hinges("YXZ")}
        <body name="scapula" pos="{clavicle}">{weight}{hinges("YXZ")}
          <site name="tip" pos="{to_tip}"/>
          <body name="humerus" pos="{to_head}">{weight}{hinges("YXY")}</body>
        </body>
      </body>
    </worldbody></mujoco>""")


def test_bones_and_joints_lie_where_the_engine_puts_them(library: Library) -> None:
    sizes = default_sizes(library)
    model = chain(sizes)
    data = mujoco.MjData(model)
    generator = np.random.default_rng(8)
    low = np.radians([-70, -50, -40, 0, -40, -40, -90, -180, -180])
    high = np.radians([40, 20, 80, 90, 40, 40, 130, 0, 180])
    for _ in range(300):
        angles = generator.uniform(low, high)
        pose = pose_from_joints(angles[:3], angles[3:6], angles[6:], sizes)
        data.qpos[:] = angles
        mujoco.mj_kinematics(model, data)
        for name, rotation, point in (
            ("clavicle", pose.thorax_from_clavicle, pose.sternoclavicular_m),
            ("scapula", pose.thorax_from_scapula, pose.acromioclavicular_m),
            ("humerus", pose.thorax_from_humerus, pose.glenohumeral_m),
        ):
            body = data.body(name)
            np.testing.assert_allclose(rotation, body.xmat.reshape(3, 3), atol=1e-12)
            np.testing.assert_allclose(point, body.xpos, atol=1e-12)
        np.testing.assert_allclose(pose.inferior_angle_m, data.site("tip").xpos, atol=1e-12)


def test_angles_read_off_every_rhythm_rebuild_it_in_the_engine(library: Library) -> None:
    sizes = default_sizes(library)
    model = chain(sizes)
    data = mujoco.MjData(model)
    for name in rhythms(library):
        for elevation in (0.0, 45.0, 90.0, 150.0):
            pose = girdle_pose(rad_from_deg([40.0, elevation, 15.0]), find_rhythm(library, name), sizes)
            data.qpos[:] = [*pose.sternoclavicular_rad, *pose.acromioclavicular_rad, *pose.glenohumeral_rad]
            mujoco.mj_kinematics(model, data)
            np.testing.assert_allclose(pose.thorax_from_humerus, data.body("humerus").xmat.reshape(3, 3), atol=1e-9)
            np.testing.assert_allclose(pose.glenohumeral_m, data.body("humerus").xpos, atol=1e-9)
