"""The person round the bones, the couch under them and a hand: soft outlines that say how somebody lies or sits.

All of it is drawing: nothing is measured here. A right side; thorax axes, or those of the humerus and the elbow for the
arm, metres.
"""

from __future__ import annotations

import numpy as np

from endfeel.anatomy.units import Floats
from endfeel.pictures.drawn.solids import Mesh, box, ellipsoid, joined, lofted, smooth_path, tube

COUCH_UP_M = -0.176
"""Where the couch lies under somebody on the side, along the thorax' axis to the side."""
LYING_DEEP_M = (-0.168, 0.075)
"""The back and the front of the trunk: where the couch lies under somebody on the back or face down."""
FINGER_PADS_M = np.array([0.086, 0.0, -0.010])
"""Where the pads of the fingers lie as the hand is built: what touches a place."""

_TRUNK = np.array([
    # up, middle forward, half width, half depth
    [0.100, -0.066, 0.052, 0.058], [0.070, -0.070, 0.060, 0.062], [0.048, -0.072, 0.088, 0.068],
    [0.024, -0.071, 0.132, 0.079], [-0.005, -0.069, 0.158, 0.090], [-0.060, -0.066, 0.163, 0.104],
    [-0.150, -0.062, 0.160, 0.114], [-0.240, -0.064, 0.148, 0.108], [-0.310, -0.068, 0.142, 0.102],
    [-0.380, -0.072, 0.157, 0.106], [-0.450, -0.078, 0.172, 0.114], [-0.520, -0.078, 0.172, 0.110],
    [-0.560, -0.076, 0.150, 0.094],
])  # fmt: skip


def trunk_skin() -> Mesh:
    """Neck to hips."""
    rows = smooth_path(_TRUNK, 19)
    angle = np.linspace(0.0, 2.0 * np.pi, 20, endpoint=False)
    square = 0.86  # fuller than an ellipse
    across, deep = _fuller(np.cos(angle), square), _fuller(np.sin(angle), square)
    rings = np.stack(
        [
            rows[:, 1, None] + rows[:, 3, None] * deep,
            rows[:, 0, None] + 0.0 * deep - 0.03 * np.clip(rows[:, 0, None] / 0.06, 0, 1) * deep,
            rows[:, 2, None] * across,
        ],
        axis=-1,
    )
    return lofted(rings[::-1])


def head_skin() -> Mesh:
    """Skull, face, nose, jaw and ears, looking forward."""
    skull = ellipsoid([-0.052, 0.235, 0.0], [0.096, 0.086, 0.074], 9, 14)
    face = ellipsoid([0.000, 0.190, 0.0], [0.044, 0.070, 0.056], 8, 11)
    jaw = ellipsoid([0.008, 0.140, 0.0], [0.036, 0.022, 0.038], 6, 9)
    nose = ellipsoid([0.048, 0.192, 0.0], [0.014, 0.020, 0.011], 5, 7)
    neck = tube(
        smooth_path([[-0.066, 0.055, 0], [-0.058, 0.110, 0], [-0.044, 0.180, 0]], 5),
        [0.057, 0.056], [0.0, 0.0, 1.0], 14,
    )  # fmt: skip
    ears = [ellipsoid([-0.048, 0.206, side * 0.074], [0.017, 0.029, 0.007], 5, 7) for side in (-1.0, 1.0)]
    return joined([skull, face, jaw, nose, neck, *ears])


def upper_arm_skin() -> Mesh:
    """From the cap of the shoulder to the elbow, in the axes of the humerus from the middle of its head."""
    rows = smooth_path(np.array([
        [0.000, 0.040, -0.008, 0.010, 0.014], [0.000, 0.034, 0.000, 0.034, 0.040], [0.001, 0.012, 0.006, 0.045, 0.052],
        [0.002, -0.030, 0.008, 0.047, 0.054], [0.002, -0.085, 0.006, 0.043, 0.050],
        [0.003, -0.150, 0.003, 0.039, 0.047],
        [0.004, -0.220, 0.001, 0.036, 0.041], [0.004, -0.275, 0.000, 0.040, 0.037],
        [0.004, -0.318, 0.000, 0.034, 0.032],
    ]), 12)  # fmt: skip
    return tube(rows[:, :3], rows[:, 3:], [0.0, 0.0, 1.0], 13)


def forearm_skin() -> Mesh:
    """Forearm with a loosely closed hand, forward from the middle of the elbow, the thumb up."""
    rows = smooth_path(np.array([
        [-0.024, 0.000, 0.000, 0.034, 0.036], [0.030, -0.001, 0.000, 0.042, 0.042],
        [0.090, -0.002, 0.001, 0.040, 0.038],
        [0.170, -0.001, 0.001, 0.031, 0.027], [0.245, 0.000, 0.000, 0.029, 0.020], [0.275, 0.000, 0.000, 0.038, 0.017],
        [0.325, 0.000, -0.002, 0.042, 0.017], [0.370, -0.004, -0.008, 0.036, 0.016],
        [0.400, -0.008, -0.020, 0.028, 0.014],
    ]), 11)  # fmt: skip
    arm = tube(rows[:, :3], rows[:, 3:], [0.0, 1.0, 0.0], 11)
    thumb = tube(
        smooth_path([[0.262, 0.020, 0.004], [0.300, 0.042, -0.004], [0.335, 0.046, -0.016]], 4), 0.0115, [0, 0, 1.0], 7,
    )  # fmt: skip
    return joined([arm, thumb])


def couch(low_m: Floats, high_m: Floats) -> Mesh:
    """A padded couch between two corners, in the axes of the room (up is the second)."""
    return box(low_m, high_m, 0.04)


def hand() -> Mesh:
    """A flat right hand of an examiner: palm down the third axis, fingers along the first, their pads at the origin."""
    palm = tube(
        smooth_path([[-0.046, 0, 0.020], [-0.030, 0, 0.016], [0.010, 0, 0.011], [0.034, 0, 0.010]], 6),
        smooth_path([[0.026, 0.013], [0.036, 0.014], [0.042, 0.0125], [0.038, 0.010]], 6), [0, 1.0, 0], 10,
    )  # fmt: skip
    wrist = tube(
        smooth_path([[-0.115, 0, 0.052], [-0.080, 0, 0.036], [-0.040, 0, 0.019]], 5),
        smooth_path([[0.029, 0.023], [0.027, 0.020], [0.029, 0.016]], 5), [0, 1.0, 0], 10,
    )  # fmt: skip
    fingers = []
    for side, long in ((-0.030, 0.058), (-0.010, 0.072), (0.011, 0.074), (0.031, 0.064)):
        path = [
            [0.026, side * 0.9, 0.010],
            [0.040 + 0.5 * long, side * 1.06, 0.007],
            [0.036 + long, side * 1.05, -0.004],
        ]
        fingers.append(tube(smooth_path(path, 5), np.linspace([0.0098, 0.0092], [0.0078, 0.0072], 5), [0, 1.0, 0], 7))
    thumb = tube(
        smooth_path([[-0.026, 0.028, 0.014], [0.006, 0.058, 0.006], [0.034, 0.068, -0.002]], 5),
        np.linspace([0.0135, 0.0125], [0.0092, 0.0085], 5), [0, 1.0, 0], 7,
    )  # fmt: skip
    whole = joined([wrist, palm, *fingers, thumb])
    return Mesh(whole.points_m - FINGER_PADS_M, whole.triangles)


def _fuller(wave: Floats, power: float) -> Floats:
    curved: Floats = np.sign(wave) * np.abs(wave) ** power
    return curved
