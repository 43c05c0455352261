"""`endfeel restraint`: what every band of the capsule does in a position of the arm."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from endfeel.cli.picture_files import add_pictures, wants_picture, write_pictures
from endfeel.cli.shoulder_options import (
    HELD,
    Asked,
    add_people,
    add_pose,
    basis_of_shoulders,
    mean_and_people,
    need_elevation,
    pose_json,
    pose_of,
    read_asked,
    taut_n,
)
from endfeel.cli.shoulder_words import (
    clavicle_of,
    enough,
    figures_json,
    foot_of,
    held_json,
    past_failure,
    people_json,
    print_caveats,
    print_sources,
    spread_of,
    where_words,
)
from endfeel.cli.terminal import bar, footer, print_json, say, style
from endfeel.vocabulary import SHORT_CAUTION

if TYPE_CHECKING:
    import numpy as np

    from endfeel.anatomy.figures import Basis
    from endfeel.anatomy.units import Floats
    from endfeel.evidence.library import Library
    from endfeel.mechanics import Bands, Shoulders
    from endfeel.pictures import StrainScale


def configure(parser: argparse.ArgumentParser) -> None:
    add_pose(parser, "; needed")
    add_people(parser)
    add_pictures(parser)


def run(options: argparse.Namespace) -> int:
    """Pose the shoulders, print what every band does, draw it where asked."""
    from endfeel.evidence.load import load_library

    need_elevation(options)
    library = load_library()
    asked = read_asked(options, library)
    found = restraint(library, asked)
    if wants_picture(options):
        write_pictures(options, lambda font: _picture(found, library, asked, font))
    if options.json:
        print_json(restraint_json(found, library, asked))
    else:
        _print(found, library, asked, sources=options.sources)
    return 0


@dataclass(frozen=True, slots=True)
class Restraint:
    """What the bands of the mean person do, and of the people drawn."""

    mean: Shoulders
    pose: Floats
    """(1, 3, 3) of the mean person."""
    bands: Bands
    seated: bool
    converged: bool
    people: Bands | None
    counted: np.ndarray | None
    """(n,) in whom the search for rest ended and the head sits in the socket."""
    basis: Basis
    taut_n: float

    @property
    def cut(self) -> tuple[bool, ...]:
        """Of every band, whether nothing of it is left to pull."""
        return tuple(self.mean.is_cut(name) for name in self.bands.names)


def restraint(library: Library, asked: Asked) -> Restraint:
    """Every band at a pose. A push of nothing tells besides whether the head came to rest in its socket."""
    mean, many = mean_and_people(library, asked)
    pose = pose_of(library, asked, mean)
    rest = mean.translation(pose, "anterior", 0.0)
    drawn = None if many is None else many.translation(pose_of(library, asked, many), "anterior", 0.0)
    return Restraint(
        mean,
        pose,
        rest.bands,
        bool(rest.seated[0]),
        bool(rest.converged[0]),
        None if drawn is None else drawn.bands,
        None if drawn is None else drawn.converged & drawn.seated,
        basis_of_shoulders(library, asked, mean),
        taut_n(library),
    )


def restraint_json(found: Restraint, library: Library, asked: Asked) -> dict[str, Any]:
    """The bands as plain data."""
    return {
        "release": library.release,
        "pose": pose_json(asked, found.pose),
        "held": held_json(found.mean, asked),
        "changes": list(asked.change_words),
        "converged": found.converged,
        "seated": found.seated,
        "bands": [_band_json(found, place) for place in range(len(found.bands.names))],
        "people": people_json(asked, found.counted),
        "taut_above_N": found.taut_n,
        "notes": notes(found),
        "provenance": found.basis.provenance.label,
        "figures": figures_json(found.basis, library),
        "caveats": list(found.basis.caveats),
        "caution": SHORT_CAUTION,
    }


def _band_json(found: Restraint, place: int) -> dict[str, Any]:
    from endfeel.mechanics.band_names import band_name

    bands, people = found.bands, found.people
    told: dict[str, Any] = {"id": bands.names[place], "name": band_name(bands.names[place])}
    columns = {
        "elongation_mm": bands.elongation_mm, "strain_percent": bands.strain_percent, "tension_N": bands.tension_n,
    }  # fmt: skip
    told |= {name: round(float(values[0, place]), 3) + 0.0 for name, values in columns.items()}
    told["share"] = round(float(bands.share[0, place]), 4)
    told["taut"] = bool(bands.tension_n[0, place] > found.taut_n)
    told["cut"] = found.cut[place]
    if people is not None and found.counted is not None and enough(found.counted):
        rows = found.counted
        told["people"] = {
            "taut": _part(found, place),
            "elongation_mm": spread_of(people.elongation_mm[rows, place]),
            "strain_percent": spread_of(people.strain_percent[rows, place]),
            "tension_N": spread_of(people.tension_n[rows, place]),
        }
    return told


def _part(found: Restraint, place: int) -> float | None:
    """The part of the people in whom a band is taut; None where too few are counted to say."""
    if found.people is None or found.counted is None or not enough(found.counted):
        return None
    return round(float((found.people.tension_n[found.counted, place] > found.taut_n).mean()), 4)


def strain_scale(library: Library, mean: Shoulders) -> StrainScale:
    """The steps of strain, where the evidence has them."""
    from endfeel.pictures.strain_scale import scale_of

    return scale_of(library, mean.parameters)


def notes(found: Restraint) -> list[str]:
    """What to know before reading the numbers."""
    from endfeel.mechanics.cuff import of_cuff

    said = []
    capsule = [not of_cuff(name) for name in found.bands.names]
    if not found.converged:
        said.append("The search for rest did not end for the mean person: do not use these numbers.")
    if not found.seated:
        said.append(
            "In this position the head of the mean person comes to rest beyond the rim of the socket, which no living "
            "shoulder does: the model cannot speak here, and no band is ranked."
        )
    elif not (found.bands.tension_n[0, capsule] > found.taut_n).any():
        is_whole = not any(cut for cut, is_band in zip(found.cut, capsule, strict=True) if is_band)
        said.append(
            "No band is taut in the mean person here: the middle of the range, where the joint plays freely."
            if is_whole
            else "No band that is left is taut in the mean person here."
        )
    said += past_failure(found.mean, found.bands)
    if found.counted is not None and not found.counted.all():
        lost = int((~found.counted).sum())
        few = "" if enough(found.counted) else " Too few are left for a range."
        said.append(
            f"{lost} of {len(found.counted)} people are not counted: no rest was found, or only beyond the rim.{few}"
        )
    return said


def _print(found: Restraint, library: Library, asked: Asked, *, sources: bool) -> None:
    from endfeel.evidence.cite import MARKS

    mark = MARKS[found.basis.provenance]
    print(style(f"Restraint of the shoulder: {asked.pose_words}", "head"))
    say(where_words(found.pose, found.mean, asked))
    for word in asked.change_words:
        say(f"Different about it: {word}")
    for note in notes(found):
        say(f"Note: {note}", kind="warn")
    ranged = enough(found.counted)
    spread, taut = ("nine in ten", "taut in") if ranged else ("", "")
    share = "share of load" if found.seated else ""
    columns = f"  {'band':34}{'strain':>8}{'stretch':>12}{'pull':>7}{spread:>16}  {share:17}{taut}"
    print(style(columns.rstrip(), "bold"))
    order = sorted(range(len(found.bands.names)), key=lambda place: _by_tension(found, place))
    for place in order:
        print(_line(found, place, mark))
    say(columns_words(found, mark), kind="dim")
    print_caveats(found.basis)
    print_sources(found.basis, library, everything=sources)
    footer(library.release)


def columns_words(found: Restraint, mark: str) -> str:
    """What the columns of numbers are."""
    said = "Strain and stretch: the tightest fibre of a band in the mean person; pull: all its fibres."
    if found.counted is None or not enough(found.counted):
        return said
    taut = f"taut in: the part of them in whom it pulls by more than {mark}{found.taut_n:g} N"
    return f"{said} Nine in ten people pull between the two numbers beside it; {taut}."


def _by_tension(found: Restraint, place: int) -> tuple[bool, float, float]:
    bands = found.bands
    return found.cut[place], -float(bands.tension_n[0, place]), -float(bands.strain_percent[0, place])


def _line(found: Restraint, place: int, mark: str) -> str:
    from endfeel.mechanics.band_names import band_name

    bands = found.bands
    name = band_name(bands.names[place])
    if found.cut[place]:
        return style(f"  {name:34}{'cut':>8}", "dim")
    strain, beyond = float(bands.strain_percent[0, place]), float(bands.elongation_mm[0, place])
    tension, share = float(bands.tension_n[0, place]), float(bands.share[0, place])
    is_slack = strain <= 0.0
    stretched = "slack" if is_slack else f"{mark}{strain:.1f} %"
    gap = f"by {-beyond:.1f} mm" if is_slack else f"{mark}{beyond:.1f} mm"
    pull = "" if is_slack else f"{mark}{tension:.0f} N"
    between, taut = "", ""
    if found.people is not None and found.counted is not None and enough(found.counted):
        told = spread_of(found.people.tension_n[found.counted, place])
        between = "" if told is None else f"{told['low']:.0f} to {told['high']:.0f} N"
        taut = f"{100 * (_part(found, place) or 0.0):4.0f} %"
    loaded = f"{bar(share, 10)} {100 * share:3.0f} %" if share > 0.0 and found.seated else ""
    line = f"  {name:34}{stretched:>8}{gap:>12}{pull:>7}{between:>16}  {loaded:17}{taut}".rstrip()
    return style(line, "dim") if is_slack else line


def _picture(found: Restraint, library: Library, asked: Asked, font: str) -> str:
    """The picture of what was found, drawn of the mean person."""
    from endfeel.mechanics.band_names import band_name
    from endfeel.mechanics.cuff import of_cuff
    from endfeel.pictures import BandLine, Words, restraint_picture, scene_of

    scene = scene_of(found.mean, found.pose[0], clavicle_of(library, asked, found.mean))
    lines = []
    for place, name in enumerate(found.bands.names):
        if name not in scene.bands:
            continue
        one = _band_json(found, place)
        pull = one.get("people", {}).get("tension_N")
        lines.append(
            BandLine(
                name, band_name(name), one["strain_percent"], one["elongation_mm"], one["tension_N"], one["share"],
                (pull["low"], pull["high"]) if pull else None, _part(found, place), found.cut[place],
            )
        )  # fmt: skip
    held = sum(float(found.bands.share[0, place]) for place, name in enumerate(found.bands.names) if of_cuff(name))
    who = "mean person" if found.counted is None else f"mean person and {int(found.counted.sum())} people drawn"
    words = Words(
        f"{asked.side.value.capitalize()} shoulder: {asked.pose_words}",
        f"Bands of the capsule, {who}; {HELD[asked.held]}, {found.mean.bed.compression_n[0]:.0f} N",
        [
            columns_words(found, ""),
            *(
                [f"The muscles of the cuff, at rest and not drawn, hold {100 * held:.0f} % of the load."]
                if held
                else []
            ),
            *(f"Different about it: {word}." for word in asked.change_words),
            *notes(found),
            *foot_of(found.basis, library),
        ],
    )
    return restraint_picture(scene, lines, strain_scale(library, found.mean), asked.side, words, font)
