"""What `restraint` and `play` are told: the pose, who is asked, how the joint is held, what is different about it."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from endfeel.cli.plain_words import FRAMES, PLANES, SIDES, lowered, meant, reader
from endfeel.vocabulary import CannotRead, Fault, NotFound, Side

if TYPE_CHECKING:
    from endfeel.anatomy.figures import Basis
    from endfeel.anatomy.girdle import GirdlePose
    from endfeel.anatomy.rhythm import Rhythm
    from endfeel.anatomy.units import Floats
    from endfeel.evidence.library import Library
    from endfeel.mechanics import Change, Shoulders

RANGES = {"elevation": (0.0, 180.0), "plane": (-90.0, 180.0), "rotation": (-180.0, 180.0)}
"""Degrees that can be asked about: what the angles can mean, not what a shoulder can do."""
MOST_PEOPLE = 5000
HELD = {
    "living": "pressed together by the tone of a relaxed living person",
    "laboratory": "pressed together as in a laboratory that tests a capsule without muscle",
    "vented": "as in a laboratory, the joint opened to the air",
}
_INWARD, _OUTWARD = ("inward", "in", "internal", "medial", "ir"), ("outward", "out", "external", "lateral", "er")
_WAY = "|".join((*_INWARD, *_OUTWARD))
_ANGLE = re.compile(rf"(?:({_WAY})\s*)?([+-]?\d+(?:[.,]\d+)?)\s*(?:°|deg(?:rees?)?)?\s*({_WAY})?")
_CHANGE = re.compile(r"\s*(short|lax|stiff|soft|cut)(?:e?ned|e?r)?\s*(?:(?:by\s+)?(\d+(?:[.,]\d+)?)\s*(%|mm)?)?\s*")
CHANGE_WORDS = "short 10%, short 3mm, lax 15%, lax 4mm, stiff 50%, soft 50% or cut"


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line says."""

    elevation_deg: float
    plane_deg: float
    rotation_deg: float
    """Inward positive."""
    frame: str
    rhythm: str
    held: str
    people: int
    seed: int
    side: Side
    changes: tuple[Change, ...]
    change_words: tuple[str, ...]

    @property
    def pose_words(self) -> str:
        """ "arm raised 60° in the plane of the blade, turned 85° outward"."""
        if self.frame == "thorax":
            where = f", {abs(self.plane_deg):g}° {'behind' if self.plane_deg < 0 else 'in front of'} the frontal plane"
            where = where if self.plane_deg else " in the frontal plane"
        elif self.plane_deg:
            where = (
                f", {abs(self.plane_deg):g}° {'behind' if self.plane_deg < 0 else 'in front of'} the plane of the blade"
            )
        else:
            where = " in the plane of the blade"
        raised = f"arm raised {self.elevation_deg:g}°{where}" if self.elevation_deg else "arm hanging"
        way = "inward" if self.rotation_deg > 0 else "outward"
        turned = f", turned {abs(self.rotation_deg):g}° {way}" if self.rotation_deg else ", not turned"
        return raised + turned


def add_pose(parser: argparse.ArgumentParser, needed: str) -> None:
    """The three angles and what they are counted from; `needed` says where the first has to be told."""
    parser.add_argument("--elevation", metavar="DEG", help=f"how far the arm is raised, 0 to 180; 0 hangs{needed}")
    parser.add_argument(
        "--plane",
        default="0",
        metavar="DEG",
        help="in which plane: scapular, or abduction, flexion and extension, which are counted from the trunk; or -90 "
        "to 180, forward positive: on the scapula 0 is the plane of the blade, on the thorax 0 is abduction and 90 "
        "flexion (default 0)",
    )
    parser.add_argument(
        "--rotation",
        default="0",
        metavar="DEG",
        help="turn about the arm's own length, -180 to 180, inward positive: -60, 60out or '60 external'. 0 is an arm "
        "raised without turning: elbow bent, the forearm points straight forward when the arm hangs (default 0)",
    )
    parser.add_argument(
        "--frame",
        type=reader(FRAMES),
        choices=tuple(FRAMES),
        help="what the angles are counted from: the blade, or the trunk with the blade following (default scapula; "
        "thorax where the plane is one of the trunk)",
    )
    parser.add_argument(
        "--rhythm",
        metavar="ID",
        help="how the blade follows the arm on the trunk: bone_pins, fluoroscopy, regression, coupled, two_to_one "
        "(default bone_pins)",
    )
    parser.add_argument(
        "--held",
        type=lowered,
        choices=tuple(HELD),
        default="living",
        help="what presses the joint together: the tone of the living, a laboratory's load, the same with the joint "
        "opened (default living)",
    )


def add_people(parser: argparse.ArgumentParser) -> None:
    """Who is asked, what is different about them, and how the answer is given."""
    parser.add_argument(
        "--change",
        action="append",
        default=[],
        metavar="STRUCTURE=HOW",
        help="something different, such as posterior_capsule='short 10%%'; may be repeated; HOW is one of "
        + CHANGE_WORDS.replace("%", "%%"),
    )
    parser.add_argument(
        "--people",
        type=int,
        default=100,
        metavar="N",
        help="people drawn beside the mean person (default 100; 0: none)",
    )
    parser.add_argument("--seed", type=int, default=0, help="decides who is drawn (default 0)")
    parser.add_argument(
        "--side", type=reader(SIDES), choices=tuple(SIDES), default="right", help="the side that is drawn"
    )
    parser.add_argument("--sources", action="store_true", help="list every source behind the numbers")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def read_asked(options: argparse.Namespace, library: Library) -> Asked:
    """What the command line says. Raises CannotRead with every fault."""
    from endfeel.anatomy.rhythm import DEFAULT_RHYTHM

    faults: list[Fault] = []
    elevation, rotation = (
        read_angle(name, str(getattr(options, name) or "0"), faults) for name in ("elevation", "rotation")
    )
    plane, frame = read_plane(options.plane, options.frame, library, faults)
    changes = [change for word in options.change if (change := read_change(word, faults)) is not None]
    if not 0 <= options.people <= MOST_PEOPLE:
        faults.append(
            Fault("so many people cannot be drawn", str(options.people), f"0 to {MOST_PEOPLE}", field="people")
        )
    if options.seed < 0:
        faults.append(Fault("a seed is not negative", str(options.seed), "0 or more", field="seed"))
    if faults:
        raise CannotRead(faults)
    return Asked(
        elevation, plane, rotation, frame, options.rhythm or DEFAULT_RHYTHM, options.held, options.people, options.seed,
        Side(options.side), tuple(changes), tuple(options.change),
    )  # fmt: skip


def need_elevation(options: argparse.Namespace) -> None:
    """Raises CannotRead where the arm's elevation is not told."""
    if options.elevation is None:
        raise CannotRead([Fault("--elevation is missing", would_do="--elevation DEG, 0 to 180", field="elevation")])


def read_plane(word: str, frame: str | None, library: Library, faults: list[Fault]) -> tuple[float, str]:
    """Degrees of the plane and what they are counted from: a plane of the trunk asks for angles on the trunk."""
    from endfeel.anatomy.rhythm import plane_deg

    name = meant(word, PLANES)
    if name not in PLANES:
        if any(letter.isalpha() for letter in word) and not _ANGLE.fullmatch(word.strip().lower()):
            faults.append(
                Fault(
                    "--plane is no such plane",
                    word,
                    "abduction, scapular, flexion, extension or degrees",
                    field="plane",
                )
            )
            return 0.0, frame or "scapula"
        return read_angle("plane", word, faults), frame or "scapula"
    if name == "scapular":
        return (plane_deg(library, name) if frame == "thorax" else 0.0), frame or "scapula"
    if frame == "scapula":
        would = "--frame thorax, or degrees in front of the plane of the blade"
        faults.append(Fault("--plane is one of the trunk, not of the blade", word, would, field="plane"))
    return -plane_deg(library, "sagittal") if name == "backward" else plane_deg(library, name), "thorax"


def read_angle(name: str, word: str, faults: list[Fault]) -> float:
    """Degrees within the angle's range; a rotation may say in or out instead of a sign."""
    low, high = RANGES[name]
    word = word.replace("−", "-").lower()
    read = _ANGLE.fullmatch(word.strip())
    value = float(read[2].replace(",", ".")) if read else float("nan")
    way = (read[1] or read[3]) if read else None
    if way:
        value = value if way in _INWARD else -value
    twice = read is not None and way and (read[2][0] in "+-" or (read[1] and read[3]))
    if read is None or twice or (way and name != "rotation") or not low <= value <= high:
        would = f"{low:g} to {high:g} degrees{', such as -60, 60out or 60in' if name == 'rotation' else ''}"
        faults.append(Fault(f"--{name} is no such angle", word, would.replace("-", "−"), field=name))
    return value


def read_change(word: str, faults: list[Fault]) -> Change | None:
    """`posterior_capsule=short 10%` as a change. Whether there is such a structure is found out when it is made."""
    from endfeel.mechanics import Change

    structure, equals, how = word.partition("=")
    read = _CHANGE.fullmatch(how) if equals else None
    name = re.sub(r"[\s-]+", "_", structure.strip())
    kind, amount, unit = (
        (read[1], float(read[2].replace(",", ".")) if read[2] else None, read[3]) if read else ("", None, "")
    )
    if not name or not _is_change(kind, amount, unit):
        would = f"STRUCTURE=HOW, where HOW is {CHANGE_WORDS}; short and soft by less than 100%"
        faults.append(Fault("--change cannot be read", word, would, field="change"))
        return None
    part = (amount or 0.0) / 100.0
    if kind == "cut":
        return Change(name, stiffness_factor=0.0)
    if kind in ("stiff", "soft"):
        return Change(name, stiffness_factor=1.0 + part if kind == "stiff" else 1.0 - part)
    sign = -1.0 if kind == "short" else 1.0
    return Change(name, rest_mm=sign * (amount or 0.0)) if unit == "mm" else Change(name, rest_ratio=1.0 + sign * part)


def _is_change(kind: str, amount: float | None, unit: str | None) -> bool:
    if kind == "cut":
        return amount is None
    if amount is None or amount <= 0.0 or unit is None or not kind:
        return False
    if kind in ("stiff", "soft") and unit == "mm":
        return False
    return unit == "mm" or kind in ("lax", "stiff") or amount < 100.0


def mean_and_people(library: Library, asked: Asked, *, with_changes: bool = True) -> tuple[Shoulders, Shoulders | None]:
    """The mean person and, where people are asked for, those drawn. Raises CannotRead for a change that cannot be."""
    from endfeel.mechanics import default_shoulder, draw_population

    mean = default_shoulder(library)
    people = draw_population(library, asked.people, asked.seed) if asked.people else None
    changes = asked.changes if with_changes else ()
    return _made(mean, asked, changes), None if people is None else _made(people, asked, changes)


def _made(shoulders: Shoulders, asked: Asked, changes: tuple[Change, ...]) -> Shoulders:
    if asked.held != "living":
        shoulders = shoulders.in_laboratory()
    if asked.held == "vented":
        shoulders = shoulders.vented()
    for change, word in zip(changes, asked.change_words, strict=False):
        meant = spelt(change, _structures(shoulders))
        try:
            shoulders = shoulders.changed(meant)
        except ValueError as error:
            raise CannotRead(
                [Fault("nothing would be left of a fibre", word, "a smaller change", field="change")]
            ) from error
    return shoulders


def _structures(shoulders: Shoulders) -> tuple[str, ...]:
    from endfeel.mechanics.changes import REGIONS, muscle_names

    return tuple(dict.fromkeys((*shoulders.band_names, *REGIONS, *muscle_names(shoulders.library))))


def spelt(change: Change, known: Sequence[str]) -> Change:
    """The change with its structure as the model spells it: capitals do not matter, and a band may have the name that
    people read. Raises NotFound with the names there are."""
    from dataclasses import replace

    from endfeel.mechanics.band_names import AT_REST, band_name

    names = {re.sub(r"[\W_]+", "_", band_name(name).lower().removesuffix(AT_REST)): name for name in known}
    names |= {name.lower(): name for name in known}
    wanted = re.sub(r"[\W_]+", "_", change.structure.lower()).removesuffix(re.sub(r"[\W_]+", "_", AT_REST))
    if wanted not in names:
        raise NotFound(f"no structure {change.structure!r} to change; there are: {', '.join(known)}")
    return replace(change, structure=names[wanted])


def pose_of(library: Library, asked: Asked, shoulders: Shoulders, elevation_deg: float | None = None) -> Floats:
    """The humerus in the scapula, (n, 3, 3), at the asked elevation or another."""
    import numpy as np

    from endfeel.anatomy.frames import humerus_from_swing
    from endfeel.anatomy.units import rad_from_deg
    from endfeel.mechanics.blade_axes import in_blade

    elevation = asked.elevation_deg if elevation_deg is None else elevation_deg
    arm = rad_from_deg([asked.plane_deg, elevation, asked.rotation_deg])
    if asked.frame == "scapula":
        return np.broadcast_to(humerus_from_swing(*arm), (len(shoulders), 3, 3))
    return in_blade(library, _girdle(library, asked, shoulders, elevation))


def _girdle(library: Library, asked: Asked, shoulders: Shoulders, elevation_deg: float | None = None) -> GirdlePose:
    """The girdle with the arm as asked on the trunk."""
    import numpy as np

    from endfeel.anatomy.girdle import girdle_pose
    from endfeel.anatomy.units import rad_from_deg

    elevation = asked.elevation_deg if elevation_deg is None else elevation_deg
    arm = rad_from_deg([asked.plane_deg, elevation, asked.rotation_deg])
    return girdle_pose(np.broadcast_to(arm, (len(shoulders), 3)), rhythm_of(library, asked), shoulders.traits.sizes)


def rhythm_of(library: Library, asked: Asked) -> Rhythm:
    """The rhythm that was chosen. Raises NotFound with those there are."""
    from endfeel.anatomy.rhythm import find_rhythm

    return find_rhythm(library, asked.rhythm)


def pose_json(asked: Asked, pose: Floats) -> dict[str, Any]:
    """The pose as it was asked for, and as it is on the mean person's scapula."""
    from endfeel.anatomy.frames import swing_of_humerus
    from endfeel.anatomy.units import deg_from_rad

    plane, elevation, rotation = (round(float(angle), 2) + 0.0 for angle in deg_from_rad(swing_of_humerus(pose[0])))
    return {
        "frame": asked.frame,
        "elevation_deg": asked.elevation_deg,
        "plane_deg": asked.plane_deg,
        "rotation_deg": asked.rotation_deg,
        "rotation_sign": "inward positive",
        "rhythm": asked.rhythm if asked.frame == "thorax" else None,
        "on_scapula": {"elevation_deg": elevation, "plane_deg": plane, "rotation_deg": rotation},
    }


def basis_of_shoulders(library: Library, asked: Asked, shoulders: Shoulders) -> Basis:
    """Every figure behind the numbers, the weakest label among them, and what the model leaves out."""
    from endfeel.anatomy.figures import basis_of

    limits = [row.figures["limit_deg"] for row in library.tables["passive_limits"]]
    caveats = ["a model of capsule, bone and a cuff at rest: no muscle contracts in it but as a press"]
    if any(change.structure for change in asked.changes):
        muscles = library.tables["muscle_paths"]
        limits += [
            figure for row in muscles for figure in row.figures.values() if row.text["muscle"] in shoulders.band_names
        ]
    basis = basis_of([*shoulders.figures, *limits, library.figure(TAUT)], caveats).joined(shoulders.traits.sizes.basis)
    return basis.joined(_girdle(library, asked, shoulders).basis) if asked.frame == "thorax" else basis


TAUT = "girdle_ligaments.gl170.value"
"""The tension above which a band counts as taut."""


def taut_n(library: Library) -> float:
    """That tension, newtons."""
    from endfeel.evidence.figures import number

    return number(library.figure(TAUT))
