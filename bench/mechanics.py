"""The mechanical shoulder: fibre lengths against MuJoCo's tendon pass on the same geometry, rest, limits, people."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace

import mujoco
import numpy as np

from bench.inference import median_ms
from endfeel.anatomy.rotations import rotation_from_vector
from endfeel.evidence.load import load_library
from endfeel.mechanics import arm, default_shoulder, draw_population
from endfeel.mechanics.bulk import bulk_lengths_m
from endfeel.mechanics.glenohumeral import fibre_lengths_m, head_at_rest
from endfeel.mechanics.tissue import strain_of

POSES = 2000
PEOPLE = 1000
GLIDE_N = 15.0


def run() -> Iterator[dict[str, str]]:
    """Rows of the table; the peer gets the same points, sphere and poses and must give the same lengths."""
    yield from _lengths()
    yield from _rest()
    yield from _population()


def _lengths() -> Iterator[dict[str, str]]:
    capsule = default_shoulder(load_library()).capsule
    capsule = replace(capsule, neck_m=capsule.neck_m * 1.001)  # the peer takes no insertion on the sphere itself
    turns = rotation_from_vector(np.random.default_rng(1).uniform(-1.5, 1.5, (POSES, 3)))
    centres = np.zeros((POSES, 3))
    model, data = _peer(capsule.rim_m[0], capsule.neck_m[0], float(capsule.radius_m[0, 0]))
    theirs, lengths = _peer_us(model, data, turns)
    slack = capsule.slack_m[0]
    taken = median_ms(lambda: bulk_lengths_m(capsule, 0, turns, centres), 15) * 1e3 / POSES
    plain = median_ms(lambda: strain_of(fibre_lengths_m(capsule, turns[:, None], centres[:, None]), slack), 5)
    single = median_ms(lambda: strain_of(fibre_lengths_m(capsule, turns[:1], centres[:1]), slack), 50)
    gap = np.abs(lengths - bulk_lengths_m(capsule, 0, turns, centres)[0]).max()
    count = len(slack)
    yield {"what": f"MuJoCo tendon pass, {count} fibres, a pose", "measured": f"{theirs:.2f} µs", "note": "one thread"}
    yield {
        "what": f"lengths and strains of {count} fibres, a pose, compiled",
        "measured": f"{taken:.2f} µs: {theirs / taken:.1f} times as fast",
        "aim": "10 times",
        "note": f"one thread; same lengths within {gap:.0e} m",
    }
    yield {
        "what": "the same by NumPy, many poses at once",
        "measured": f"{plain * 1e3 / POSES:.1f} µs: {theirs / (plain * 1e3 / POSES):.1f} times as fast",
    }
    yield {"what": "the same by NumPy, one pose alone", "measured": f"{single:.2f} ms", "note": "nothing compiled"}


def _rest() -> Iterator[dict[str, str]]:
    one, pose = default_shoulder(load_library()), arm(60.0, 0.0, -60.0)[None]
    start = head_at_rest(one.capsule, one.bed, pose).centre_m
    force = GLIDE_N * one.socket.axes[:, :, 0]
    for words, bulk in (("compiled", True), ("NumPy", False)):
        taken = median_ms(lambda bulk=bulk: head_at_rest(one.capsule, one.bed, pose, force, start, bulk), 25)  # type: ignore[misc]
        yield {"what": f"glide equilibrium of one shoulder, {words}", "measured": f"{taken:.2f} ms", "aim": "1 ms"}


def _population() -> Iterator[dict[str, str]]:
    library, pose = load_library(), arm(60.0, 0.0, -60.0)
    began = time.perf_counter()
    people = draw_population(library, PEOPLE, seed=3).in_bulk()
    yield {"what": f"draw {PEOPLE} shoulders", "measured": f"{time.perf_counter() - began:.2f} s"}
    half = draw_population(library, PEOPLE // 2, seed=3).in_bulk()
    glide = median_ms(lambda: people.translation(pose, "anterior", GLIDE_N), 3)
    limit = median_ms(lambda: people.passive_limit("flexion"), 3)
    fewer = median_ms(lambda: half.passive_limit("flexion"), 3)
    yield {"what": f"one glide of {PEOPLE} shoulders", "measured": f"{glide:.0f} ms"}
    yield {
        "what": f"one passive limit of {PEOPLE} shoulders",
        "measured": f"{limit:.0f} ms",
        "note": f"half as many: {fewer:.0f} ms",
    }


def _peer(rims: np.ndarray, necks: np.ndarray, radius: float) -> tuple[mujoco.MjModel, mujoco.MjData]:
    def sites(points: np.ndarray, name: str) -> str:
        return "".join(
            f'<site name="{name}{i}" pos="{x:.17g} {y:.17g} {z:.17g}"/>' for i, (x, y, z) in enumerate(points)
        )

    tendons = "".join(
        f'<spatial><site site="rim{i}"/><geom geom="head"/><site site="neck{i}"/></spatial>' for i in range(len(rims))
    )
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><worldbody>{sites(rims, "rim")}<body><freejoint/>
        <inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>
        <geom name="head" type="sphere" size="{radius:.17g}" contype="0" conaffinity="0"/>{sites(necks, "neck")}</body>
        </worldbody><tendon>{tendons}</tendon></mujoco>"""
    )
    return model, mujoco.MjData(model)


def _peer_us(model: mujoco.MjModel, data: mujoco.MjData, turns: np.ndarray) -> tuple[float, np.ndarray]:
    """Microseconds of the tendon pass alone, a pose, and the lengths."""
    quaternion, taken, lengths = np.empty(4), [], np.empty((len(turns), model.ntendon))
    for pose, turn in enumerate(turns):
        mujoco.mju_mat2Quat(quaternion, turn.ravel())
        data.qpos[3:] = quaternion
        mujoco.mj_kinematics(model, data)
        mujoco.mj_comPos(model, data)
        began = time.perf_counter()
        mujoco.mj_tendon(model, data)
        taken.append(time.perf_counter() - began)
        lengths[pose] = data.ten_length
    return float(np.median(taken)) * 1e6, lengths
