"""Would the capsule as a sheet, whose parts hold each other, keep a head in the middle of the range? An experiment.

    python scripts/capsule_as_sheet.py            some minutes on one core

The mean shoulder's fibres from rim to neck, in their order round the socket, become the meridians of a net: neighbours
are tied by hoops and diagonals that only pull, draped over the head. A tie is as short as the published passive limits
allow: its greatest length over them when the net is drawn tight, less the strain of a firm end, so that no choice of
ties could hold more. The head is then carried off and the force that the net pulls back with is printed, for the
fibres alone and for the net. Nothing in the program uses this; docs/mechanics.md says what came out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from endfeel.anatomy.units import Floats, mm_from_m
from endfeel.evidence.load import load_library
from endfeel.mechanics import Shoulders, arm, default_shoulder
from endfeel.mechanics.motions import published_limits

MERIDIANS = (
    "superior_GHL", "middle_GHL", "anterior_band_IGHL", "axillary_pouch", "posterior_band_IGHL",
    "posterior_capsule_middle", "posterior_capsule_superior",
)  # fmt: skip
PARTS = 8
"""Pieces of each meridian."""
TIE_N_PER_MM = 46.0
"""Of a piece 5 mm wide and long, 2 mm thick, of the capsule's own modulus (23 MPa)."""
DRAWN_TIGHT_N_PER_MM = 0.02
"""Of the weak springs that take up slack while the ties are measured."""
HEAD_N_PER_MM = 300.0
TRAVEL_MM = (6.0, 10.0, 14.0, 18.0, 22.0)


@dataclass(frozen=True)
class Net:
    """Lengths in millimetres, forces in newtons, places in scapula axes from the centre of the seated head."""

    rim: Floats
    neck: Floats
    slack: Floats
    stiffness: Floats
    radius: float
    along: np.ndarray
    """(pieces, 2) ends of the pieces of the meridians, as rows of the flattened nodes."""
    across: np.ndarray
    """(ties, 2) ends of hoops and diagonals."""

    def nodes(self, free: Floats, turn: Floats, centre: Floats) -> Floats:
        """Every node, (meridians, PARTS + 1, 3): rim, what is free, neck."""
        inner = free.reshape(len(self.rim), PARTS - 1, 3)
        return np.concatenate([self.rim[:, None], inner, (self.neck @ turn.T + centre)[:, None]], axis=1)

    def energy(
        self, free: Floats, turn: Floats, centre: Floats, ties: Floats | None, tight: float
    ) -> tuple[float, Floats, Floats]:
        """Energy, its slope by the free nodes, and its slope by the centre of the head."""
        at = self.nodes(free, turn, centre)
        flat, slope, total = at.reshape(-1, 3), np.zeros((at.shape[0] * at.shape[1], 3)), 0.0
        springs = [(self.along, np.repeat(self.slack / PARTS, PARTS), np.repeat(self.stiffness * PARTS, PARTS))]
        if ties is not None:
            springs.append((self.across, ties, np.full(len(ties), TIE_N_PER_MM)))
        every = np.concatenate([self.along, self.across])
        springs.append((every, np.zeros(len(every)), np.full(len(every), tight)))
        for ends, rest, stiff in springs:
            apart = flat[ends[:, 1]] - flat[ends[:, 0]]
            length = np.linalg.norm(apart, axis=1) + 1e-9
            beyond = np.maximum(length - rest, 0.0)
            total += float(np.sum(stiff * beyond**2) / 2)
            pull = (stiff * beyond / length)[:, None] * apart
            np.add.at(slope, ends[:, 1], pull)
            np.add.at(slope, ends[:, 0], -pull)
        by_node = slope.reshape(at.shape)
        from_head = at[:, 1:-1] - centre
        away = np.linalg.norm(from_head, axis=-1)
        inside = np.maximum(self.radius - away, 0.0)
        total += float(np.sum(HEAD_N_PER_MM * inside**2) / 2)
        pressed = -(HEAD_N_PER_MM * inside / away)[..., None] * from_head
        by_node[:, 1:-1] += pressed
        return total, by_node[:, 1:-1].ravel(), by_node[:, -1].sum(axis=0) - pressed.sum(axis=(0, 1))

    def draped(self, turn: Floats, centre: Floats, ties: Floats | None, tight: float) -> Floats:
        """The free nodes where the net lies over the head."""
        share = np.linspace(0.0, 1.0, PARTS + 1)[1:-1, None]
        line = (self.rim - centre)[:, None] * (1.0 - share) + (self.neck @ turn.T)[:, None] * share
        far = np.linalg.norm(line, axis=-1, keepdims=True)
        start = line / far * np.maximum(far, self.radius * 1.01) + centre
        return minimize(
            lambda free: self.energy(free, turn, centre, ties, tight)[:2],
            start.ravel(),
            jac=True,
            method="L-BFGS-B",
            options={"maxiter": 3000, "maxfun": 4000, "ftol": 1e-12, "gtol": 1e-4},
        ).x


def net_of(person: Shoulders) -> Net:
    """The net of one shoulder."""
    capsule = person.capsule
    chosen = np.isin(capsule.band_of_fibre, [capsule.bands.index(band) for band in MERIDIANS])
    rim = mm_from_m(capsule.rim_m[0, chosen])
    beside, up, _ = ((rim - rim.mean(axis=0)) @ person.socket.axes[0]).T
    order = np.argsort(np.arctan2(beside, up))
    row = np.arange(len(order) * (PARTS + 1)).reshape(len(order), PARTS + 1)
    beyond = np.roll(row, -1, axis=0)
    pairs = [(row[:, 1:-1], beyond[:, 1:-1]), (row[:, :-1], beyond[:, 1:]), (beyond[:, :-1], row[:, 1:])]
    return Net(
        rim[order],
        mm_from_m(capsule.neck_m[0, chosen])[order],
        mm_from_m(capsule.slack_m[0, chosen])[order],
        capsule.stiffness_n_per_m[0, chosen][order] / 1000.0,
        float(mm_from_m(capsule.radius_m[0, 0])),
        np.stack([row[:, :-1].ravel(), row[:, 1:].ravel()], axis=1),
        np.concatenate([np.stack([one.ravel(), other.ravel()], axis=1) for one, other in pairs]),
    )


def main() -> None:
    library = load_library()
    person = default_shoulder(library)
    net, seated = net_of(person), np.zeros(3)
    limits = published_limits(library)
    longest = np.zeros(len(net.across))
    for limit in limits.values():
        turn = limit.motion.humerus(limit.angle_rad)
        flat = net.nodes(net.draped(turn, seated, None, DRAWN_TIGHT_N_PER_MM), turn, seated).reshape(-1, 3)
        longest = np.maximum(longest, np.linalg.norm(flat[net.across[:, 1]] - flat[net.across[:, 0]], axis=1))
    ties = longest / (1.0 + person.parameters.mean("end_strain_percent") / 100.0)
    for elevation in (30.0, 45.0, 60.0):
        turn = arm(elevation, 0.0, -10.0)
        for direction in ("anterior", "posterior", "inferior"):
            way = person.way(direction)[0]
            print(f"raised {elevation:.0f}, {direction}: millimetres, newtons of fibres alone, of the net")
            for travel in TRAVEL_MM:
                held = []
                for with_ties in (None, ties):
                    free = net.draped(turn, travel * way, with_ties, 1e-4)
                    held.append(float(net.energy(free, turn, travel * way, with_ties, 1e-4)[2] @ way))
                print(f"  {travel:5.0f} {held[0]:8.1f} {held[1]:8.1f}", flush=True)


if __name__ == "__main__":
    main()
