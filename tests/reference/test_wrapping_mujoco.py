"""Wrapped fibre lengths against MuJoCo spatial tendons with sphere wrapping: 1e-6 m over 10,000 poses.

Outside reference: MuJoCo (general-purpose physics engine), the same points and the same sphere given to both. MuJoCo
takes no point within the sphere, and the softening of ends that all but touch it is ours: no such end occurs here.
Insertions are lifted off the head by a thousandth of its radius in both.
"""

from __future__ import annotations

import numpy as np
import pytest

from endfeel.anatomy.rotations import rotation_from_vector
from endfeel.evidence.library import Library
from endfeel.mechanics.shoulder import default_shoulder
from endfeel.mechanics.wrapping import SOFT_RATIO, length_round_sphere_m

mujoco = pytest.importorskip("mujoco", reason="MuJoCo, the outside reference, is not installed")

POSES = 10_000


def model_of(rims: np.ndarray, necks: np.ndarray, radius: float) -> str:
    def sites(points: np.ndarray, name: str) -> str:
        return "".join(
            f'<site name="{name}{i}" pos="{x:.17g} {y:.17g} {z:.17g}"/>' for i, (x, y, z) in enumerate(points)
        )

    tendons = "".join(
        f'<spatial><site site="rim{i}"/><geom geom="head"/><site site="neck{i}"/></spatial>' for i in range(len(rims))
    )
    return f"""<mujoco><worldbody>{sites(rims, "rim")}
    <body name="humerus"><freejoint/><inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>
    <geom name="head" type="sphere" size="{radius:.17g}" contype="0" conaffinity="0"/>{sites(necks, "neck")}</body>
    </worldbody><tendon>{tendons}</tendon></mujoco>"""


def test_lengths_agree_with_spatial_tendons(library: Library) -> None:
    capsule = default_shoulder(library).capsule
    radius = float(capsule.radius_m[0, 0])
    rims, necks = capsule.rim_m[0], capsule.neck_m[0] * 1.001
    model = mujoco.MjModel.from_xml_string(model_of(rims, necks, radius))
    data = mujoco.MjData(model)
    generator = np.random.default_rng(11)
    turns = rotation_from_vector(generator.uniform(-2.0, 2.0, (POSES, 3)))
    centres = generator.uniform(-0.001, 0.001, (POSES, 3))
    theirs = np.empty((POSES, len(rims)))
    quaternion = np.empty(4)
    for pose in range(POSES):
        mujoco.mju_mat2Quat(quaternion, turns[pose].ravel())
        data.qpos[:3], data.qpos[3:] = centres[pose], quaternion
        mujoco.mj_kinematics(model, data)
        mujoco.mj_comPos(model, data)
        mujoco.mj_tendon(model, data)
        theirs[pose] = data.ten_length
    far = rims[None] - centres[:, None]
    assert np.linalg.norm(far, axis=-1).min() > radius * (1 + SOFT_RATIO)
    ours = length_round_sphere_m(far, necks @ turns.swapaxes(1, 2), np.array(radius))
    straight = np.linalg.norm(far - necks @ turns.swapaxes(1, 2), axis=-1)
    assert 0.2 < np.mean(ours > straight + 1e-9) < 0.98
    assert np.abs(ours - theirs).max() < 1e-6
