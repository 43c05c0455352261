"""One shoulder or a population of them, as a cadaver laboratory would handle them: in degrees, millimetres, newtons.

Poses are those of the humerus in the scapula unless a motion says otherwise. Rotation counts from the arm raised
without any turn about its own length (a pure swing from hanging); inward is positive. Every result has the shoulders
on its leading axis. A right shoulder is computed; in words such as anterior or inward the left is the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from endfeel.anatomy.frames import humerus_from_swing
from endfeel.anatomy.girdle import girdle_pose
from endfeel.anatomy.rhythm import DEFAULT_RHYTHM, find_rhythm
from endfeel.anatomy.sizes import Sex, default_sizes
from endfeel.anatomy.units import Floats, deg_from_rad, mm_from_m, rad_from_deg
from endfeel.evidence.figures import Figure
from endfeel.evidence.library import Library
from endfeel.mechanics.bands import RAD_PER_HOUR, Capsule, Socket, build_capsule, build_socket
from endfeel.mechanics.blade_axes import in_blade
from endfeel.mechanics.changes import Change, bands_of, changed, cut, muscle_names, with_muscle
from endfeel.mechanics.contact import Bed, build_bed
from endfeel.mechanics.cuff import cuff_compression_n, cuff_figures, gauge_m, with_cuff
from endfeel.mechanics.glenohumeral import Rest, fibre_lengths_m, fibre_tensions_n, head_at_rest
from endfeel.mechanics.motions import Motion, find_motion, freed, published_limits, reference_rotations
from endfeel.mechanics.parameters import Parameters, read_parameters
from endfeel.mechanics.passive_range import passive_limit
from endfeel.mechanics.population import Traits, draw_traits, mean_traits
from endfeel.mechanics.wrapping import path_round_sphere
from endfeel.vocabulary import NotFound

DIRECTIONS = {
    "superior": 12.0,
    "anterosuperior": 1.5,
    "anterior": 3.0,
    "anteroinferior": 4.5,
    "inferior": 6.0,
    "posteroinferior": 7.5,
    "posterior": 9.0,
    "posterosuperior": 10.5,
}
"""Glides along the face of the socket by their place on the clock; `lateral` is traction away from it."""


HANGING = "abduction"
"""The motion that starts with the arm hanging."""
_ROTATION = 1e-6
"""How far from orthogonal a pose may be."""


@dataclass(frozen=True, slots=True)
class Bands:
    """What every band does in n shoulders; all of shape (n, bands)."""

    names: tuple[str, ...]
    elongation_mm: Floats
    """Of its tightest fibre beyond slack; negative while the band is slack."""
    strain_percent: Floats
    """Of the same fibre."""
    tension_n: Floats
    """Of all its fibres together."""
    share: Floats
    """Of the sum of all tensions; zero where nothing is taut."""
    seated: NDArray[np.bool_]
    """(n,) whether the head lies over its socket; beyond the rim the numbers are of a joint that is out."""
    converged: NDArray[np.bool_]
    """(n,) whether the head came to rest; elsewhere the numbers are not to be used."""

    def of(self, name: str) -> Bands:
        """One band alone (the last axis keeps length one). Raises NotFound with the names there are."""
        if name not in self.names:
            raise NotFound(f"no band {name!r}; there are: {', '.join(self.names)}")
        at = [self.names.index(name)]
        return replace(
            self,
            names=(name,),
            elongation_mm=self.elongation_mm[:, at],
            strain_percent=self.strain_percent[:, at],
            tension_n=self.tension_n[:, at],
            share=self.share[:, at],
        )


@dataclass(frozen=True, slots=True)
class Glide:
    """The head moved by a force, or by a turn of the arm."""

    along_mm: Floats
    """(n,) in the direction asked for, along the plane of the socket."""
    aside_mm: Floats
    """(n,) at right angles to it in that plane; positive is clockwise as seen from the side."""
    out_mm: Floats
    """(n,) away from the socket: the rise as the head rides up the curve."""
    resistance: Floats
    """(n, bands) share of the force that each band takes up beyond what it held at rest; the rest is the socket's."""
    bands: Bands
    seated: NDArray[np.bool_]
    """(n,) whether the centre of the head is still over the socket; beyond its rim the head has slipped out."""
    converged: NDArray[np.bool_]
    """(n,)."""


@dataclass(frozen=True, slots=True)
class End:
    """The end of a passive motion."""

    angle_deg: Floats
    """(n,) of the moving angle in the motion's sense; NaN where no end was found."""
    stopping: Floats
    """(n, bands) share of the resisting moment."""
    bands: Bands
    seated: NDArray[np.bool_]
    """(n,) whether the centre of the head lies over the socket there."""
    converged: NDArray[np.bool_]


def arm(elevation_deg: float, plane_deg: float = 0.0, rotation_deg: float = 0.0) -> Floats:
    """A pose (3, 3) of the humerus: elevation in a plane (0 that of the blade, 90 forward, −90 backward) and turn.
    Raises ValueError for an elevation outside 0 to 180."""
    return humerus_from_swing(*_arm_rad(elevation_deg, plane_deg, rotation_deg))


def _arm_rad(elevation_deg: float, plane_deg: float, rotation_deg: float) -> Floats:
    """(3,) plane, elevation and turn in radians. Raises ValueError for what no arm does."""
    if not 0.0 <= elevation_deg <= 180.0 or not np.isfinite(plane_deg + rotation_deg):
        told = f"elevation {elevation_deg:g}, plane {plane_deg:g}, rotation {rotation_deg:g}"
        raise ValueError(f"an arm is raised 0 to 180 degrees in a plane and turned, not {told}")
    return rad_from_deg([plane_deg, elevation_deg, rotation_deg])


def arm_on_thorax(
    library: Library,
    elevation_deg: float,
    plane_deg: float = 0.0,
    rotation_deg: float = 0.0,
    rhythm: str = DEFAULT_RHYTHM,
) -> Floats:
    """The pose (3, 3) of the humerus in the scapula when the arm is raised from the trunk (plane 0 sideways, 90
    forward) and the blade of the average person follows by a published rhythm, kept on the thorax. Raises NotFound for
    an unknown rhythm, ValueError for an elevation outside 0 to 180."""
    angles = _arm_rad(elevation_deg, plane_deg, rotation_deg)
    return in_blade(library, girdle_pose(angles, find_rhythm(library, rhythm), default_sizes(library)))


@dataclass(frozen=True, slots=True, repr=False)
class Shoulders:
    """n shoulders that can be posed, pushed, changed and cut."""

    traits: Traits
    socket: Socket
    capsule: Capsule
    bed: Bed
    parameters: Parameters
    library: Library
    bulk: bool = False
    """Whether searches run in compiled loops."""

    def __len__(self) -> int:
        return len(self.bed.head_radius_m)

    def __repr__(self) -> str:
        return f"Shoulders({len(self)} of evidence release {self.library.release}, bands: {', '.join(self.band_names)})"

    @property
    def band_names(self) -> tuple[str, ...]:
        return self.capsule.bands

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Every figure of the evidence behind these shoulders, bones apart (those: `traits.sizes.basis`)."""
        return (*self.parameters.figures.values(), *cuff_figures(self.library))

    def changed(self, *changes: Change) -> Shoulders:
        """The same people with something different. Raises NotFound for an unknown structure or muscle."""
        capsule = self.capsule
        for change in changes:
            if change.structure in muscle_names(self.library) and change.structure not in capsule.bands:
                reference = reference_rotations(published_limits(self.library))
                capsule = with_muscle(capsule, self.library, self.parameters, change.structure, reference)
            belly = gauge_m(capsule, self.library, self.parameters) - capsule.slack_m
            capsule = changed(capsule, (change,), belly)
        return replace(self, capsule=capsule)

    def is_cut(self, band: str) -> bool:
        """Whether nothing of a band is left to pull."""
        fibres = self.capsule.band_of_fibre == self.capsule.bands.index(band)
        return not self.capsule.stiffness_n_per_m[:, fibres].any()

    def pressed(self, compression_n: float) -> Shoulders:
        """The same with another compression of the joint. Raises ValueError for one below nothing."""
        if not compression_n >= 0.0:
            raise ValueError(f"a joint is pressed together by 0 N or more, not {compression_n}")
        return replace(self, bed=replace(self.bed, compression_n=np.full(len(self), float(compression_n))))

    def in_bulk(self) -> Shoulders:
        """The same, searched in compiled loops: for populations. The first use compiles for some seconds."""
        return replace(self, bulk=True)

    def in_laboratory(self, cuff: bool = False) -> Shoulders:
        """The same as a cadaver laboratory presses a shoulder without muscle, instead of the tone of the living; with
        `cuff` the cuff was left on it."""
        pressed = self.pressed(self.parameters.mean("laboratory_compression_N"))
        return pressed if cuff else pressed.changed(cut("rotator_cuff"))

    def vented(self) -> Shoulders:
        """The same with the joint opened to the air, as in many a laboratory: no suction."""
        none = np.zeros(len(self))
        return replace(self, bed=replace(self.bed, suction_n=none, suction_limit_n=none))

    def at_rest(self, pose: Floats, force_n: Floats | None = None) -> Rest:
        """Where the heads come to rest in a pose (3, 3) or (n, 3, 3), under a force (n, 3) in scapula axes."""
        rotation = self._every(pose)
        unloaded = head_at_rest(self.capsule, self.bed, rotation, bulk=self.bulk)
        if force_n is None:
            return unloaded
        return head_at_rest(self.capsule, self.bed, rotation, force_n, unloaded.centre_m, self.bulk)

    def bands_at(self, pose: Floats) -> Bands:
        """Elongation, strain, tension and share of load of every band in a pose, the heads at rest."""
        rest = self.at_rest(pose)
        return self._bands(self._every(pose), rest.centre_m, rest.converged)

    def translation(self, pose: Floats, direction: str, force_n: float) -> Glide:
        """How far the head glides from rest under a force in a direction of `DIRECTIONS`, or `lateral`.
        Raises NotFound for another direction, ValueError for a force below nothing."""
        if not (force_n >= 0.0 and np.isfinite(force_n)):
            raise ValueError(f"a push is 0 N or more, not {force_n}; the direction says which way")
        rotation, way = self._every(pose), self.way(direction)
        start = head_at_rest(self.capsule, self.bed, rotation, bulk=self.bulk)
        end = head_at_rest(self.capsule, self.bed, rotation, force_n * way, start.centre_m, self.bulk)
        return self._glide(rotation, way, start, end, force_n)

    def stiffness_curve(self, pose: Floats, direction: str, forces_n: Sequence[float]) -> Floats:
        """Translation in millimetres along a direction at every force, (n, forces); NaN where the search failed.
        Raises NotFound for another direction, ValueError for no force at all or one below nothing."""
        if not len(forces_n) or not all(force >= 0.0 and np.isfinite(force) for force in forces_n):
            raise ValueError(f"a curve takes pushes of 0 N or more, not {list(forces_n)}; the direction says which way")
        rotation, way = self._every(pose), self.way(direction)
        start = head_at_rest(self.capsule, self.bed, rotation, bulk=self.bulk)
        at, curve = start.centre_m, []
        for force in forces_n:
            rest = head_at_rest(self.capsule, self.bed, rotation, float(force) * way, at, self.bulk)
            at = rest.centre_m
            along = np.einsum("ni,ni->n", rest.centre_m - start.centre_m, way)
            curve.append(np.where(rest.converged, mm_from_m(along), np.nan))
        return np.stack(curve, axis=1)

    def passive_limit(
        self, motion: str | Motion, moment_nm: float | None = None, scapula_follows: str | None = None
    ) -> End:
        """How far a passive motion goes, by name from the evidence or made by hand, and what stops it.

        The moment is the evidence's `manual_moment_Nm` unless stated. The blade is held as the motion says, or follows
        by the rhythm named in `scapula_follows` (the glenohumeral capsule alone then ends the motion: the blade's own
        end is not modelled). Raises NotFound for an unknown motion or rhythm, ValueError for a moment not above 0.
        """
        if moment_nm is not None and not (moment_nm > 0.0 and np.isfinite(moment_nm)):
            raise ValueError(f"a motion is stopped against a moment above 0 Nm, not {moment_nm}")
        asked = find_motion(self.library, motion) if isinstance(motion, str) else motion
        if scapula_follows is not None:
            asked = freed(asked, self.library, scapula_follows)
        moment = self.parameters.mean("manual_moment_Nm") if moment_nm is None else moment_nm
        limit = passive_limit(self.capsule, self.bed, asked, moment, self.bulk)
        angle = np.where(np.isnan(limit.angle_rad), asked.start_rad, limit.angle_rad)
        rotation, axis = asked.humerus(angle), asked.axis(angle)
        moments = self._by_band(self._moments_nm(rotation, limit.centre_m, axis))
        whole = moments.sum(axis=1, keepdims=True)
        stopping = np.divide(moments, whole, out=np.zeros_like(moments), where=whole > 0.0)
        bands = self._bands(rotation, limit.centre_m, limit.converged)
        return End(deg_from_rad(limit.angle_rad), stopping, bands, bands.seated, limit.converged)

    def obligate_translation(self, motion: str | Motion, angles_deg: ArrayLike) -> Floats:
        """Where an imposed motion carries the head: (n, angles, 3) millimetres forward, up and out of the socket,
        from its place at the first angle. The head is followed from angle to angle; NaN where the search failed.
        Raises NotFound for an unknown motion, ValueError where there is no angle or one that is no number."""
        asked = find_motion(self.library, motion) if isinstance(motion, str) else motion
        angles = np.atleast_1d(rad_from_deg(angles_deg))
        if not angles.size or not np.isfinite(angles).all():
            raise ValueError("a head is followed through one angle or more, all of them numbers")
        at, places = np.zeros((len(self), 3)), []
        for angle in angles:
            rest = head_at_rest(self.capsule, self.bed, self._every(asked.humerus(angle)), start_m=at, bulk=self.bulk)
            at = rest.centre_m
            local = np.einsum("nji,nj->ni", self.socket.axes, rest.centre_m)
            places.append(np.where(rest.converged[:, None], mm_from_m(local), np.nan))
        path = np.stack(places, axis=1)
        moved: Floats = path - path[:, :1]
        return moved

    def band_share(self, shares: Floats, structure: str) -> Floats:
        """The share (n,) of a band, region or muscle out of shares (n, bands)."""
        columns = [self.capsule.bands.index(band) for band in bands_of(structure, self.capsule.bands)]
        total: Floats = shares[:, columns].sum(axis=1)
        return total

    def seated(self, centre_m: Floats) -> NDArray[np.bool_]:
        """Whether heads whose centres lie at (n, 3) are over their sockets, (n,)."""
        local = np.einsum("nji,nj->ni", self.socket.axes, centre_m)
        beyond = (local[:, 0] / self.socket.half_width_m) ** 2 + (local[:, 1] / self.socket.half_height_m) ** 2
        over: NDArray[np.bool_] = beyond <= 1.0
        return over

    def _every(self, pose: Floats) -> Floats:
        """One pose for all, or everyone's own, as rotations. Raises ValueError for what is none."""
        turns = np.asarray(pose, dtype=float)
        if turns.shape not in ((3, 3), (1, 3, 3), (len(self), 3, 3)):
            raise ValueError(f"a pose is a rotation (3, 3), or one a shoulder ({len(self)}, 3, 3), not {turns.shape}")
        if (
            not np.allclose(turns @ np.swapaxes(turns, -1, -2), np.eye(3), atol=_ROTATION)
            or (np.linalg.det(turns) < 0.0).any()
        ):
            raise ValueError("a pose is a rotation: orthogonal, of numbers, and no mirror image; `arm` makes one")
        return np.broadcast_to(turns, (len(self), 3, 3))

    def way(self, direction: str) -> Floats:
        """A direction of `DIRECTIONS`, or `lateral`, as unit vectors (n, 3) in scapula axes. Raises NotFound."""
        if direction == "lateral":
            return self.socket.axes[:, :, 2]
        if direction not in DIRECTIONS:
            raise NotFound(f"no direction {direction!r}; there are: {', '.join([*DIRECTIONS, 'lateral'])}")
        angle = DIRECTIONS[direction] * RAD_PER_HOUR
        way: Floats = np.sin(angle) * self.socket.axes[:, :, 0] + np.cos(angle) * self.socket.axes[:, :, 1]
        return way

    def _glide(self, rotation: Floats, way: Floats, start: Rest, end: Rest, force_n: float) -> Glide:
        moved, outward = end.centre_m - start.centre_m, self.socket.axes[:, :, 2]
        aside = np.cross(outward, way) * -1.0
        at_start, at_end = self._pulls_n(rotation, np.stack([start.centre_m, end.centre_m]))
        taken = at_end - at_start
        held = self._by_band(-np.einsum("nfi,ni->nf", taken, way)) / (force_n or 1.0)
        along, sideways, out = (
            mm_from_m(np.einsum("ni,ni->n", moved, direction)) for direction in (way, aside, outward)
        )
        bands = self._bands(rotation, end.centre_m, start.converged & end.converged)
        return Glide(along, sideways, out, held, bands, bands.seated, bands.converged)

    def _bands(self, rotation: Floats, centre_m: Floats, converged: NDArray[np.bool_]) -> Bands:
        lengths = fibre_lengths_m(self.capsule, rotation, centre_m)
        beyond = lengths - self.capsule.slack_m
        strains = beyond / gauge_m(self.capsule, self.library, self.parameters)
        tension = self._by_band(fibre_tensions_n(self.capsule, lengths))
        whole = tension.sum(axis=1, keepdims=True)
        share = np.divide(tension, whole, out=np.zeros_like(tension), where=whole > 0.0)
        strain, elongation = np.empty_like(tension), np.empty_like(tension)
        for place in range(len(self.capsule.bands)):
            fibres = np.flatnonzero(self.capsule.band_of_fibre == place)
            tightest = fibres[np.argmax(strains[:, fibres], axis=1)]
            rows = np.arange(len(self))
            strain[:, place], elongation[:, place] = strains[rows, tightest], beyond[rows, tightest]
        return Bands(
            self.capsule.bands, mm_from_m(elongation), strain * 100.0, tension, share,
            self.seated(centre_m), converged,
        )  # fmt: skip

    def _pulls_n(self, rotation: Floats, centre_m: Floats) -> Floats:
        """The force of every fibre on the humerus, (..., n, F, 3), for centres (..., n, 3)."""
        near = np.einsum("nij,nfj->nfi", rotation, self.capsule.neck_m)
        path = path_round_sphere(self.capsule.rim_m - centre_m[..., None, :], near, self.capsule.radius_m)
        pulls: Floats = fibre_tensions_n(self.capsule, path.length_m)[..., None] * path.pull
        return pulls

    def _moments_nm(self, rotation: Floats, centre_m: Floats, axis: Floats) -> Floats:
        """How hard every fibre resists turning about an axis (n, 3), (n, F)."""
        far = self.capsule.rim_m - centre_m[:, None, :]
        resisting: Floats = -np.einsum("nfi,ni->nf", np.cross(far, self._pulls_n(rotation, centre_m)), axis)
        return resisting

    def _by_band(self, of_fibres: Floats) -> Floats:
        """Sums over the fibres of each band, (n, bands)."""
        members = self.capsule.band_of_fibre[:, None] == np.arange(len(self.capsule.bands))
        summed: Floats = of_fibres @ members.astype(float)
        return summed


def default_shoulder(library: Library, sex: Sex | None = None) -> Shoulders:
    """The mean person: one shoulder with every trait at its published mean."""
    parameters = read_parameters(library)
    return build_shoulders(library, parameters, mean_traits(library, parameters, sex))


def draw_population(library: Library, count: int = 1000, seed: int = 0, sex: Sex | None = None) -> Shoulders:
    """`count` different shoulders; the same seed gives the same people."""
    parameters = read_parameters(library)
    return build_shoulders(library, parameters, draw_traits(library, parameters, count, seed, sex))


def build_shoulders(library: Library, parameters: Parameters, traits: Traits) -> Shoulders:
    """Shoulders from parameters and traits."""
    socket, capsule, bed = assembled(library, parameters, traits)
    return Shoulders(traits, socket, capsule, bed, parameters, library)


def assembled(library: Library, parameters: Parameters, traits: Traits) -> tuple[Socket, Capsule, Bed]:
    """Socket, capsule with the passive cuff, and the bed under the head. What presses the living head in beyond the
    cuff's own pull with the arm hanging is tone."""
    socket, limits = build_socket(parameters, traits), published_limits(library)
    hanging = limits[HANGING].motion.humerus(limits[HANGING].motion.start_rad)
    capsule = build_capsule(parameters, traits, socket, reference_rotations(limits))
    capsule = with_cuff(capsule, library, parameters, traits.sizes, socket, hanging)
    bed = build_bed(parameters, socket, traits.sizes.head_radius_m)
    tone = np.maximum(bed.compression_n - cuff_compression_n(capsule, socket, hanging), 0.0)
    return socket, capsule, replace(bed, compression_n=tone)
