"""`endfeel play`: how far a glide goes under a force, and what holds it back."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from endfeel.cli import plain_words
from endfeel.cli.picture_files import add_pictures, wants_picture, write_pictures
from endfeel.cli.plain_words import meant, reader
from endfeel.cli.play_findings import Play, girdle_play, head_play
from endfeel.cli.shoulder_options import Asked, add_people, add_pose, need_elevation, pose_json, read_asked
from endfeel.cli.shoulder_words import (
    enough,
    figures_json,
    held_json,
    past_failure,
    people_json,
    print_caveats,
    print_sources,
    spread_of,
    where_words,
)
from endfeel.cli.terminal import bar, footer, print_json, say, style
from endfeel.vocabulary import SHORT_CAUTION, CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.evidence.library import Library

JOINTS = {
    "gh": "head of the humerus on its socket",
    "ac": "acromion on the fixed clavicle",
    "sc": "inner end of the clavicle on the breastbone",
}
LARGEST_N = 1000.0


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--joint", type=reader(plain_words.JOINTS), choices=tuple(JOINTS), default="gh", help="which joint (default gh)"
    )
    parser.add_argument(
        "--direction",
        required=True,
        metavar="WAY",
        help="where the bone is pushed: anterior, posterior, superior, inferior, lateral (traction), between them such "
        "as anteroinferior, or back, down and the like; at the sc joint also superior_medial and inferior_lateral, "
        "along the joint line",
    )
    parser.add_argument("--force", required=True, metavar="N", help="how hard, in newtons")
    add_pose(parser, "; needed at the shoulder joint itself")
    add_people(parser)
    add_pictures(parser)


def run(options: argparse.Namespace) -> int:
    """Push the bone, print how far it goes and what holds it back, draw it where asked."""
    from endfeel.evidence.load import load_library

    force = read_force(options.force)
    direction = read_direction(options.direction, options.joint)
    _fitting(options)
    library = load_library()
    asked = read_asked(options, library)
    push = head_play if options.joint == "gh" else girdle_play
    found = push(library, asked, options.joint, direction, force)
    before = push(library, asked, options.joint, direction, force, with_changes=False) if asked.changes else None
    if wants_picture(options):
        from endfeel.cli.play_picture import charts_of, draw_play

        print("drawing: many people at rest under many forces, some seconds", file=sys.stderr)
        charts = charts_of(found, library, asked)
        write_pictures(options, lambda font: draw_play(charts, found, library, asked, font))
    if options.json:
        print_json(play_json(found, before, library, asked))
    else:
        _print(found, before, library, asked, sources=options.sources)
    return 0


def read_force(word: str) -> float:
    """Newtons. Raises CannotRead."""
    try:
        force = float(word.replace(",", ".").removesuffix("N").strip())
    except ValueError:
        force = float("nan")
    if not 0.0 < force <= LARGEST_N:
        raise CannotRead([Fault("--force is no such force", word, f"newtons, above 0 to {LARGEST_N:g}", field="force")])
    return force


def read_direction(word: str, joint: str) -> str:
    """A direction by its name, whichever way it is joined. Raises CannotRead with the names there are."""
    known = directions_of(joint)
    bare = "".join(meant(part, plain_words.DIRECTIONS) for part in re.split(r"[\s_-]+", word.strip()))
    spelt = {name.replace("_", ""): name for name in known}
    spelt |= {name.replace("antero", "anterior").replace("postero", "posterior"): name for name in known}
    if bare not in spelt:
        raise CannotRead([Fault("no such direction", word, ", ".join(known), field="direction")])
    return spelt[bare]


def directions_of(joint: str) -> Sequence[str]:
    """The directions in which a joint can be pushed."""
    from endfeel.mechanics import acromioclavicular, shoulder, sternoclavicular

    if joint == "gh":
        return (*shoulder.DIRECTIONS, "lateral")
    return tuple((acromioclavicular if joint == "ac" else sternoclavicular).DIRECTIONS)


def _fitting(options: argparse.Namespace) -> None:
    """Whether the pose fits the joint. Raises CannotRead."""
    if options.joint == "gh":
        need_elevation(options)
        return
    told = {
        "elevation": options.elevation is not None,
        "plane": options.plane != "0",
        "rotation": options.rotation != "0",
        "frame": options.frame is not None,
        "held": options.held != "living",
        "rhythm": options.rhythm is not None,
    }
    faults = [
        Fault(f"--{name} says nothing at this joint", would_do="leave it out, or --joint gh", field=name)
        for name, is_told in told.items()
        if is_told
    ]
    if faults:
        raise CannotRead(faults)


def play_json(found: Play, before: Play | None, library: Library, asked: Asked) -> dict[str, Any]:
    """The glide as plain data."""
    told: dict[str, Any] = {
        "release": library.release,
        "joint": found.joint,
        "moved": JOINTS[found.joint],
        "direction": found.direction,
        "force_N": found.force_n,
    }
    if found.pose is not None and found.mean is not None:
        told |= {"pose": pose_json(asked, found.pose), "held": held_json(found.mean, asked)}
    told |= {
        "changes": list(asked.change_words),
        **_moved_json(found),
        "bands_loaded": [band.id for band in found.bands if band.tension_n > found.taut_n],
        "bands": [_band_json(band) for band in found.bands],
        "surface_share": round(found.surface_share, 4),
        "people": people_json(asked, found.counted),
        "notes": notes(found, before),
        "taut_above_N": found.taut_n,
        "provenance": found.basis.provenance.label,
        "figures": figures_json(found.basis, library),
        "caveats": list(found.basis.caveats),
        "caution": SHORT_CAUTION,
    }
    if before is not None:
        told["without_changes"] = _moved_json(before)
    return told


def _moved_json(found: Play) -> dict[str, Any]:
    told: dict[str, Any] = {
        "translation_mm": round(found.along_mm, 3) + 0.0,
        "aside_mm": round(found.aside_mm, 3) + 0.0,
        "out_mm": round(found.out_mm, 3) + 0.0,
        "seated": found.seated,
        "seated_up_to_N": None if found.seated_up_to_n is None else round(found.seated_up_to_n, 1),
        "converged": found.converged,
    }
    if found.people_mm is not None:
        told["translation_in_people_mm"] = spread_of(found.people_mm)
    return told


def _band_json(band: Any) -> dict[str, Any]:
    told: dict[str, Any] = {
        "id": band.id,
        "name": band.name,
        "share_of_force": round(band.share, 4) + 0.0,
        "tension_N": round(band.tension_n, 3),
        "strain_percent": round(band.strain_percent, 3) + 0.0,
        "elongation_mm": round(band.elongation_mm, 3) + 0.0,
    }
    if band.people_share is not None:
        told["people"] = {"taut": round(band.taut_part, 4), "share_of_force": spread_of(band.people_share, 4)}
    return told


def notes(found: Play, before: Play | None) -> list[str]:
    """What to know before reading the numbers."""
    said = []
    if found.joint == "gh" and "superior" in found.direction:
        said.append("No acromion is in the model: upward the head may go farther than in a person.")
    if found.speaks and found.mean is not None and found.pose is not None:
        said += past_failure(found.mean, found.mean.bands_at(found.pose))
    for one, who in ((found, ""), (before, " without the change")):
        if one is None:
            continue
        if not one.converged:
            said.append(f"The search for rest did not end for the mean person{who}: its numbers are not to be used.")
        elif not one.seated:
            limit = (
                f"it stays in up to about {one.seated_up_to_n:.0f} N" if one.seated_up_to_n else "it lies there at rest"
            )
            said.append(f"The head of the mean person slips over the rim of the socket{who}; {limit}.")
        if one.counted is not None and not one.counted.all():
            lost = int((~one.counted).sum())
            why = "slips over the rim or finds no rest" if found.joint == "gh" else "finds no rest"
            said.append(f"In {lost} of {len(one.counted)} people{who} the bone {why}: they are not counted.")
    return said


def _print(found: Play, before: Play | None, library: Library, asked: Asked, *, sources: bool) -> None:
    from endfeel.evidence.cite import MARKS

    mark = MARKS[found.basis.provenance]
    print(style(title_of(found, asked), "head"))
    if found.pose is not None and found.mean is not None:
        say(where_words(found.pose, found.mean, asked))
    for word in asked.change_words:
        say(f"Different about it: {word}")
    if before is not None:
        print(_moved(before, mark, "without it"))
    print(_moved(found, mark, "with it" if before is not None else ""))
    if found.speaks:
        _print_holders(found, mark)
    for note in notes(found, before):
        say(f"Note: {note}", kind="warn")
    say(
        "Share: what each takes up of the force beyond what it held at rest; below zero it pulls along. "
        f"Taut: a pull above {mark}{found.taut_n:g} N.",
        kind="dim",
    )
    print_caveats(found.basis)
    print_sources(found.basis, library, everything=sources)
    footer(library.release)


def _print_holders(found: Play, mark: str) -> None:
    taut_in = "" if found.people_mm is None else "    taut in"
    print(style(f"  {'what holds it back':34}{'share of the force':26}{'pull':>6}{taut_in}", "bold"))
    for band in found.loaded:
        taut = "" if band.taut_part is None else f"{100 * band.taut_part:8.0f} %"
        print(_bar_line(band.name, band.share, f"{mark}{band.tension_n:.0f} N", taut))
    print(_bar_line(found.surface_word, found.surface_share, "", ""))


def title_of(found: Play, asked: Asked) -> str:
    """ "Joint play: head of the humerus on its socket, pushed anterior with 20 N, arm raised 45°…"."""
    pose = f", {asked.pose_words}" if found.joint == "gh" else ""
    return (
        f"Joint play: {JOINTS[found.joint]}, pushed {found.direction.replace('_', '-')} with {found.force_n:g} N{pose}"
    )


def _moved(found: Play, mark: str, when: str) -> str:
    """How far it went, in the mean person and in the people drawn."""
    when = f"{when}: " if when else ""
    if not found.converged:
        said = f"{when}no rest was found in the mean person"
    elif not found.seated:
        said = f"{when}the mean person's head slips over the rim"
    else:
        aside = f", {abs(found.aside_mm):.1f} mm aside" if abs(found.aside_mm) >= 0.05 else ""
        out = f", {abs(found.out_mm):.1f} mm {'away from' if found.out_mm > 0 else 'into'} the joint"
        out = out if abs(found.out_mm) >= 0.05 and found.direction != "lateral" else ""
        said = f"{when}{mark}{found.along_mm:.1f} mm in the mean person{aside}{out}"
    if found.people_mm is None or found.counted is None:
        return f"  {said}"
    told = spread_of(found.people_mm)
    if told is None or not enough(found.counted):
        few = f"too few of the {len(found.counted)} people are counted for a range"
        return f"  {said}; {few if found.speaks else 'nor can most of the people be counted'}"
    half = f"half of the people more than {mark}{told['median']:.1f} mm"
    return f"  {said}; {half}, nine in ten {told['low']:.1f} to {told['high']:.1f} mm"


def _bar_line(name: str, share: float, pull: str, taut: str) -> str:
    shown = bar(share, 14) if share >= 0.0 else "pulls along".ljust(14)
    return f"  {name:34}{shown} {100 * share:5.0f} %    {pull:>7}{taut}".replace("-", "−").rstrip()
