"""The glenohumeral capsule as bands, each a bundle of fibres from the rim of the socket to the neck of the humerus.

Attachments stand on clocks: on the rim, and on the anatomical neck, both seen from the side of a right shoulder with
12 above and 3 in front. The head is a sphere; a fibre starts on it a little beyond the joint surface and wraps over it.
The scapula's axes are x forward, y up, z lateral, with the origin at the centre of the seated head; the humerus' axes
coincide with them when all three angles are zero. Leading axis: shoulders.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.rotations import turn_about
from endfeel.anatomy.sizes import Sizes
from endfeel.anatomy.units import Floats, m_from_mm
from endfeel.mechanics.blade_axes import line_of_the_socket_rad
from endfeel.mechanics.parameters import BANDS, Parameters
from endfeel.mechanics.population import Traits
from endfeel.mechanics.tissue import checked
from endfeel.mechanics.wrapping import length_round_sphere_m

RAD_PER_HOUR = np.pi / 6.0
PA_PER_MPA = 1e6
PERCENT = 100.0
MEAN_RADIUS = "ligament_geometry.lg123.value"


@dataclass(frozen=True, slots=True)
class Socket:
    """The curved face of the glenoid of n shoulders: a sphere cut by an elliptical rim, in scapula axes."""

    axes: Floats
    """(n, 3, 3): columns forward, up and outward (the normal) of the glenoid."""
    centre_m: Floats
    """(n, 3) centre of curvature of the face."""
    curvature_m: Floats
    """(n,) its radius."""
    half_width_m: Floats
    half_height_m: Floats
    """(n,) half axes of the rim."""
    set_back_m: float
    """How far behind the rim, towards the neck of the scapula, fibres are fixed."""

    def on_face(self, forward_m: Floats, up_m: Floats) -> Floats:
        """Points of the face, (n, k, 3), over places (n, k) in the plane of the glenoid, continued past the rim."""
        depth_m = np.sqrt(np.maximum(self.curvature_m[:, None] ** 2 - forward_m**2 - up_m**2, 0.0))
        local = np.stack([forward_m, up_m, -depth_m], axis=-1)
        points: Floats = self.centre_m[:, None, :] + np.einsum("nij,nkj->nki", self.axes, local)
        return points

    def rim_m(self, clock: Floats) -> Floats:
        """Where fibres leave the rim, (n, k, 3), at clock hours (n, k)."""
        angle = clock * RAD_PER_HOUR
        edge = self.on_face(self.half_width_m[:, None] * np.sin(angle), self.half_height_m[:, None] * np.cos(angle))
        points: Floats = edge - self.set_back_m * self.axes[:, None, :, 2]
        return points


@dataclass(frozen=True, slots=True)
class Capsule:
    """Every fibre of n shoulders: where it is fixed and what it is made of."""

    bands: tuple[str, ...]
    band_of_fibre: np.ndarray
    """(F,) place in `bands`."""
    rim_m: Floats
    """(n, F, 3) the end on the scapula, in scapula axes."""
    neck_m: Floats
    """(n, F, 3) the end on the humerus, in humerus axes from the centre of the head."""
    radius_m: Floats
    """(n, F) the sphere that the fibre wraps over."""
    slack_m: Floats
    stiffness_n_per_m: Floats
    toe_strain: Floats
    """(n, F) each."""


def build_socket(parameters: Parameters, traits: Traits) -> Socket:
    """The socket of n drawn shoulders, inclined and turned back against the line from which both are measured."""
    sizes = traits.sizes
    excess_m = sizes.glenoid_radius_excess_m
    rise_rad, forward_rad = line_of_the_socket_rad(sizes)
    upward = turn_about("X", -(rise_rad + traits.inclination_rad))
    backward = turn_about("Y", forward_rad - sizes.glenoid_retroversion_rad)
    axes: Floats = backward @ upward
    return Socket(
        axes,
        excess_m[:, None] * axes[:, :, 2],
        sizes.head_radius_m + excess_m,
        sizes.glenoid_width_m / 2.0,
        sizes.glenoid_height_m / 2.0,
        float(m_from_mm(parameters.mean("rim_set_back_mm"))),
    )


def neck_points_m(sizes: Sizes, clock: Floats, beyond_m: Floats) -> Floats:
    """Attachments on the humerus, (n, k, 3) in humerus axes, at hours (n, k) and `beyond_m` past the joint surface."""
    radius_m = sizes.head_radius_m
    rise = sizes.neck_shaft_rad - np.pi / 2.0
    back = sizes.retroversion_rad
    pole = np.stack([-np.sin(back) * np.cos(rise), np.sin(rise), -np.cos(back) * np.cos(rise)], axis=-1)
    upward = np.array([0.0, 1.0, 0.0]) - pole[:, 1:2] * pole
    upward /= np.linalg.norm(upward, axis=-1, keepdims=True)
    forward = np.cross(pole, upward)
    edge = np.arccos(np.clip(1.0 - sizes.head_thickness_m / radius_m, -1.0, 1.0))
    polar = edge[:, None] + beyond_m / radius_m[:, None]
    angle = clock * RAD_PER_HOUR
    around = np.cos(angle)[..., None] * upward[:, None, :] + np.sin(angle)[..., None] * forward[:, None, :]
    points: Floats = radius_m[:, None, None] * (
        np.cos(polar)[..., None] * pole[:, None, :] + np.sin(polar)[..., None] * around
    )
    return points


def build_capsule(parameters: Parameters, traits: Traits, socket: Socket, reference: Floats) -> Capsule:
    """The capsule of n drawn shoulders.

    The slack length of a fibre is its band's rest ratio times its greatest length, head seated, over the rotations
    `reference` (K, 3, 3) of the humerus in the scapula at the published limits of passive motion.
    """
    rims, necks, members = [], [], []
    for place, band in enumerate(BANDS):
        count = round(parameters.mean(f"{band}.fibres"))
        share = (np.arange(count) + 0.5) / count
        members += [place] * count
        half_m = m_from_mm(parameters.mean(f"{band}.attachment_width_mm")) / 2.0
        hours = _hours(parameters, band, "neck", share) + traits.neck_shift_hours[:, place, None]
        necks.append(neck_points_m(traits.sizes, hours, np.full((1, count), half_m)))
        if parameters.has(f"{band}.rim_clock_from"):
            rims.append(socket.rim_m(_hours(parameters, band, "rim", share) + traits.rim_shift_hours[:, place, None]))
        else:
            rims.append(np.repeat(_coracoid_m(parameters, traits)[:, None, :], count, axis=1))
    rim_m, neck_m = np.concatenate(rims, axis=1), np.concatenate(necks, axis=1)
    band_of_fibre = np.array(members)
    radius_m = np.repeat(traits.sizes.head_radius_m[:, None], len(members), axis=1)
    ratio = np.array([parameters.mean(f"{band}.rest_ratio") for band in BANDS])
    longest_m = longest_over(rim_m, neck_m, radius_m, reference)
    slack_m = longest_m * (ratio * traits.slack_factor)[:, band_of_fibre]
    stiffness = _stiffness(parameters, traits, socket, band_of_fibre, neck_m, slack_m)
    toe = np.full_like(slack_m, parameters.mean("toe_strain_percent") / PERCENT)
    checked(slack_m, stiffness, toe)
    return Capsule(BANDS, band_of_fibre, rim_m, neck_m, radius_m, slack_m, stiffness, toe)


def appended(
    capsule: Capsule,
    name: str,
    origin_m: Floats,
    insertion_m: Floats,
    slack_m: Floats,
    stiffness_n_per_m: Floats,
    toe_strain: Floats,
) -> Capsule:
    """The capsule with one more band of k fibres: ends (n, k, 3), the rest (n, k)."""
    made_of = (
        (capsule.rim_m, origin_m),
        (capsule.neck_m, insertion_m),
        (capsule.radius_m, np.repeat(capsule.radius_m[:, :1], slack_m.shape[1], axis=1)),
        (capsule.slack_m, slack_m),
        (capsule.stiffness_n_per_m, stiffness_n_per_m),
        (capsule.toe_strain, toe_strain),
    )
    return Capsule(
        (*capsule.bands, name),
        np.append(capsule.band_of_fibre, np.repeat(len(capsule.bands), slack_m.shape[1])),
        *(np.concatenate([old, new], axis=1) for old, new in made_of),
    )


def longest_over(rim_m: Floats, neck_m: Floats, radius_m: Floats, rotations: Floats) -> Floats:
    """The greatest length (n, F) of each fibre over rotations (K, 3, 3), the head seated."""
    longest = np.zeros(rim_m.shape[:-1])
    for rotation in rotations:
        longest = np.maximum(longest, length_round_sphere_m(rim_m, neck_m @ rotation.T, radius_m))
    return longest


def _hours(parameters: Parameters, band: str, end: str, share: Floats) -> Floats:
    first, last = (parameters.mean(f"{band}.{end}_clock_{side}") for side in ("from", "to"))
    hours: Floats = first + ((last - first) % 12.0) * share
    return hours


def _coracoid_m(parameters: Parameters, traits: Traits) -> Floats:
    """The face of the coracoid base, (n, 3), scaled with the head."""
    place = [parameters.mean(f"coracoid_origin_{way}_mm") for way in ("forward", "up", "lateral")]
    point: Floats = traits.scale[:, None] * m_from_mm(place)
    return point


def _stiffness(
    parameters: Parameters, traits: Traits, socket: Socket, band_of_fibre: np.ndarray, neck_m: Floats, slack_m: Floats
) -> Floats:
    """Newtons a metre of every fibre (n, F): the band's measured stiffness, or modulus times section over length."""
    strain = parameters.mean("tissue_failure_strain_percent") / PERCENT
    toe = parameters.mean("toe_strain_percent") / PERCENT
    modulus_pa = parameters.mean("tissue_failure_stress_MPa") * PA_PER_MPA / (strain - toe / 2.0)
    whole = np.empty_like(slack_m)
    for place, band in enumerate(BANDS):
        fibres = band_of_fibre == place
        count = int(fibres.sum())
        if parameters.has(f"{band}.stiffness_N_per_mm"):
            measured = parameters.mean(f"{band}.stiffness_N_per_mm") * parameters.mean(f"{band}.stiffness_share")
            whole[:, fibres] = measured * 1000.0 / count
            continue
        thick_m = m_from_mm(parameters.mean(f"{band}.thickness_mm"))
        if parameters.has(f"{band}.width_mm"):
            wide_m = np.full(slack_m.shape[0], m_from_mm(parameters.mean(f"{band}.width_mm")))
        else:
            ends = socket.rim_m(np.array([[parameters.mean(f"{band}.rim_clock_{end}") for end in ("from", "to")]]))
            on_neck = neck_m[:, fibres]
            spread = np.linalg.norm(on_neck[:, -1] - on_neck[:, 0], axis=-1) * count / max(count - 1, 1)
            wide_m = (np.linalg.norm(ends[:, 1] - ends[:, 0], axis=-1) + spread) / 2.0
        whole[:, fibres] = (modulus_pa * thick_m * wide_m / count)[:, None] / slack_m[:, fibres]
    stiffness: Floats = whole * traits.stiffness_factor[:, band_of_fibre]
    return stiffness
