"""The exercises as pictures: places of hands and feet, the things used, the side it is seen from. Drawing only."""

from __future__ import annotations

from endfeel.pictures.exercise_figure import ExercisePicture, Place, Pose, Prop, moved
from endfeel.vocabulary import NotFound


def _wall(x: float, low: float = -0.45, high: float = 0.45) -> Prop:
    return Prop(((x, 0.0, low), (x, 1.95, low), (x, 1.95, high), (x, 0.0, high)))


def _top(x0: float, x1: float, y: float, z0: float, z1: float) -> Prop:
    return Prop(((x0, y, z0), (x1, y, z0), (x1, y, z1), (x0, y, z1)))


def _leg(x: float, y: float, z: float) -> Prop:
    return Prop(((x - 0.02, 0.0, z), (x + 0.02, 0.0, z), (x + 0.02, y, z), (x - 0.02, y, z)))


def _table(x0: float, x1: float, z0: float, z1: float) -> tuple[Prop, ...]:
    legs = tuple(_leg(x, 0.70, z) for x in (x0 + 0.05, x1 - 0.05) for z in (z0 + 0.05, z1 - 0.05))
    return (*legs, Prop(((x0, 0.70, z1), (x1, 0.70, z1), (x1, 0.73, z1), (x0, 0.73, z1))), _top(x0, x1, 0.73, z0, z1))


_CHAIR = (
    *(_leg(x, 0.42, z) for x in (-0.22, 0.2) for z in (-0.2, 0.2)),
    Prop(((-0.24, 0.42, 0.22), (0.22, 0.42, 0.22), (0.22, 0.45, 0.22), (-0.24, 0.45, 0.22))),
    _top(-0.24, 0.22, 0.45, -0.22, 0.22),
    Prop(((-0.24, 0.45, -0.22), (-0.27, 0.86, -0.22), (-0.27, 0.86, 0.22), (-0.24, 0.45, 0.22))),
)
_MAT = (Prop(((-0.95, 0.0, -0.4), (0.9, 0.0, -0.4), (0.9, 0.0, 0.4), (-0.95, 0.0, 0.4))),)
_STAND = Pose()
_SIT = Pose(
    pelvis=(0.0, 0.53, 0.0), right_foot=(0.42, 0.06, 0.1), left_foot=(0.42, 0.06, -0.1), knees=(1.0, 1.0, 0.0),
    right_hand=(0.3, 0.6, 0.12), left_hand=(0.3, 0.6, -0.12),
)  # fmt: skip
_BACK = Pose(
    pelvis=(0.0, 0.11, 0.0), lying="back", right_foot=(0.5, 0.06, 0.1), left_foot=(0.5, 0.06, -0.1),
    knees=(0.2, 1.0, 0.0), right_hand=(-0.05, 0.12, 0.28), left_hand=(-0.05, 0.12, -0.28),
    right_elbow=(0.2, -1.0, 0.3), left_elbow=(0.2, -1.0, -0.3),
)  # fmt: skip
_SIDE = Pose(
    pelvis=(0.0, 0.15, 0.0), lying="left", right_foot=(0.42, 0.14, -0.36), left_foot=(0.45, 0.06, -0.36),
    knees=(-0.4, 0.0, -1.0), left_hand=(-0.52, 0.08, -0.62), right_hand=(-0.52, 0.16, -0.62),
    right_elbow=(0.3, 0.2, 0.2), left_elbow=(0.3, -0.1, 0.2),
)  # fmt: skip
_BENT = moved(
    _STAND, right_hand=(0.33, 1.1, 0.1), left_hand=(0.33, 1.1, -0.1), right_elbow=(-0.5, -1.0, 0.2),
    left_elbow=(-0.5, -1.0, -0.2),
)  # fmt: skip


def _both(pose: Pose, hand: Place, elbow: Place, **more: object) -> Pose:
    """Both hands alike, the left as the mirror of the right."""
    return moved(
        pose, right_hand=hand, left_hand=(hand[0], hand[1], -hand[2]), right_elbow=elbow,
        left_elbow=(elbow[0], elbow[1], -elbow[2]), **more,
    )  # fmt: skip


_PENDULUM = moved(
    _STAND, lean_deg=68.0, pelvis=(-0.05, 0.9, 0.0), left_hand=(0.72, 0.78, -0.25), right_foot=(-0.2, 0.06, 0.12),
    left_foot=(0.1, 0.06, -0.12), right_elbow=(-1.0, 0.0, 0.0),
)  # fmt: skip
_CROSS = moved(_STAND, right_hand=(0.55, 1.4, 0.2), right_elbow=(0.0, -1.0, 0.3))
_NEAR = _both(moved(_STAND, pelvis=(0.1, 0.91, 0.0), lean_deg=14.0), (0.56, 1.3, 0.2), (-0.4, -0.4, 1.0))

PICTURES: dict[str, ExercisePicture] = {
    one.id: one
    for one in (
        ExercisePicture(
            "pendulum", 68, 8,
            (moved(_PENDULUM, right_hand=(0.2, 0.55, 0.2)), moved(_PENDULUM, right_hand=(0.62, 0.56, 0.2))),
            _table(0.55, 1.05, -0.6, -0.08),
        ),
        ExercisePicture(
            "table_slide", 62, 14,
            (_both(_SIT, (0.42, 0.78, 0.12), (-0.6, -0.5, 0.6)),
             _both(moved(_SIT, lean_deg=38.0), (0.86, 0.78, 0.12), (-0.2, -0.2, 1.0))),
            (*_CHAIR, *_table(0.36, 1.1, -0.4, 0.4)),
        ),
        ExercisePicture(
            "stick_rotation", 18, 38,
            (moved(_BACK, right_hand=(-0.2, 0.42, 0.18), left_hand=(-0.2, 0.44, -0.3), right_elbow=(1.0, -1.0, 0.1),
                   left_elbow=(0.6, -0.4, -1.0)),
             moved(_BACK, right_hand=(-0.2, 0.28, 0.44), left_hand=(-0.2, 0.46, -0.04), right_elbow=(1.0, -1.0, -0.2),
                   left_elbow=(0.6, -0.4, -1.0))),
            _MAT, follows=(("stick", "left_hand", "right_hand"),),
        ),
        ExercisePicture(
            "cross_body", 12, 6,
            (_CROSS, moved(_CROSS, right_hand=(0.24, 1.38, -0.36), right_elbow=(1.0, -0.2, 0.5),
                           left_hand=(0.33, 1.33, -0.05), left_elbow=(0.2, -1.0, -0.6))),
        ),
        ExercisePicture(
            "wall_slide", 66, 6,
            (_both(_STAND, (0.42, 1.25, 0.17), (-0.1, -1.0, 0.3)), _both(_STAND, (0.42, 1.78, 0.2), (0.4, -1.0, 0.5))),
            (_wall(0.47),),
        ),
        ExercisePicture(
            "band_outward", 8, 8,
            (_BENT, moved(_BENT, right_hand=(0.24, 1.1, 0.42), left_hand=(0.24, 1.1, -0.42))),
            follows=(("band", "left_hand", "right_hand"),),
        ),
        ExercisePicture(
            "band_row", 62, 10,
            (_both(_STAND, (0.58, 1.18, 0.14), (-0.3, -1.0, 0.2)),
             _both(_STAND, (0.12, 1.12, 0.26), (-1.0, -0.2, 0.2))),
            (Prop(((1.12, 0.0, -0.3), (1.12, 1.9, -0.3), (1.12, 1.9, 0.3), (1.12, 0.0, 0.3))),),
            follows=(("band", "right_hand", "1.11 1.12 0.0"), ("band", "left_hand", "1.11 1.12 0.0")),
        ),
        ExercisePicture(
            "wall_push", 66, 6,
            (_NEAR, _both(moved(_STAND, pelvis=(-0.05, 0.93, 0.0), lean_deg=6.0), (0.56, 1.3, 0.2), (0.0, -0.4, 1.0))),
            (_wall(0.61),),
        ),
        ExercisePicture(
            "back_over_chair", 76, 6,
            (_both(_SIT, (-0.1, 1.2, 0.06), (0.3, 0.3, 1.0)),
             _both(moved(_SIT, lean_deg=-24.0), (-0.36, 1.09, 0.06), (0.3, 0.6, 1.0), head=(-0.05, -0.03, 0.0))),
            _CHAIR, arrow=True,
        ),
        ExercisePicture(
            "open_book", -80, 26,
            (_SIDE, moved(_SIDE, twist_deg=58.0, right_hand=(-0.5, 0.66, 0.34), right_elbow=(0.4, 0.2, -0.2))),
            _MAT,
        ),
        ExercisePicture(
            "doorway", 22, 6,
            (moved(_STAND, right_hand=(0.12, 1.52, 0.45), right_elbow=(0.0, -1.0, 0.6)),
             moved(_STAND, pelvis=(0.2, 0.91, 0.0), twist_deg=-14.0, right_hand=(0.12, 1.52, 0.45),
                   right_elbow=(0.0, -1.0, 0.6), left_foot=(0.42, 0.06, -0.1), right_foot=(-0.12, 0.06, 0.1),
                   left_hand=(0.3, 0.82, -0.26))),
            (Prop(((0.1, 0.0, 0.5), (0.1, 1.95, 0.5), (0.1, 1.95, 0.62), (0.1, 0.0, 0.62))),), arrow=False,
        ),
        ExercisePicture(
            "raise_lying", 62, 18,
            (_both(_BACK, (-0.14, 0.38, 0.03), (0.6, 0.0, 1.0)), _both(_BACK, (-0.92, 0.5, 0.04), (0.0, 0.5, 1.0))),
            _MAT,
        ),
        ExercisePicture(
            "hold_outward", 14, 8,
            (moved(_BENT, right_hand=(0.31, 1.1, 0.24), left_hand=(0.04, 0.82, -0.24), left_elbow=(-1.0, -0.3, -0.3)),),
            (Prop(((-0.25, 0.0, 0.31), (-0.25, 1.95, 0.31), (0.5, 1.95, 0.31), (0.5, 0.0, 0.31))),),
        ),
        ExercisePicture(
            "blade_circles", 10, 6,
            (_STAND, moved(_both(_STAND, (-0.02, 0.9, 0.25), (-1.0, -0.3, 0.3)), shrug=0.07)),
            from_y=0.7, circles=True,
        ),
        ExercisePicture(
            "neck_side", 2, 4,
            (moved(_SIT, right_hand=(0.02, 0.42, 0.28), right_elbow=(-1.0, 0.0, 0.3)),
             moved(_SIT, right_hand=(0.02, 0.42, 0.28), right_elbow=(-1.0, 0.0, 0.3), head=(0.0, -0.03, -0.09),
                   left_hand=(0.05, 1.31, 0.0), left_elbow=(0.1, 0.3, -1.0))),
            _CHAIR, arrow=False, from_y=0.35,
        ),
        ExercisePicture(
            "chin_glide", 82, 4,
            (moved(_SIT, head=(0.09, -0.02, 0.0)), moved(_SIT, head=(-0.015, 0.01, 0.0))),
            _CHAIR, arrow=False, from_y=0.7,
        ),
    )
}  # fmt: skip


def picture_of(name: str) -> ExercisePicture:
    """One exercise's picture. Raises NotFound."""
    if name not in PICTURES:
        raise NotFound(f"no picture of an exercise {name!r}")
    return PICTURES[name]
