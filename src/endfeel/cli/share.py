"""`endfeel share`: how much each joint of the girdle contributes to a lost range of the arm."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING, Any

from endfeel.cli.picture_files import add_pictures, wants_picture, write_pictures
from endfeel.cli.plain_words import ARMS, MOVEMENTS, PLANES, lowered, meant, reader
from endfeel.cli.terminal import bar, print_json, style
from endfeel.vocabulary import SHORT_CAUTION, CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.anatomy.contributions import Known
    from endfeel.anatomy.sharing import PartShare, Shares
    from endfeel.evidence.library import Library

_MOVEMENTS = {"raising": "", "outward": "external_rotation", "inward": "internal_rotation"}
_ANGLE = re.compile(r"([+-]?\d+(?:[.,]\d+)?)(?:\s*(?:±|\+-|\+/-)\s*(\d+(?:[.,]\d+)?))?")
_LARGEST_DEG = 200.0
_SURPRISING_SD = 2.0


def configure(parser: argparse.ArgumentParser) -> None:
    told = "an angle in degrees, with its error where you know it: 120 or 120±5"
    parser.add_argument(
        "--total", required=True, metavar="DEG", help=f"what was measured of the arm on the trunk; {told}"
    )
    parser.add_argument(
        "--other-side", "--normal-side", dest="other", metavar="DEG", help="the good side; else a published norm"
    )
    parser.add_argument(
        "--movement",
        type=reader(MOVEMENTS),
        choices=tuple(_MOVEMENTS),
        default="raising",
        help="raising the arm, or turning it (default raising)",
    )
    parser.add_argument(
        "--plane",
        metavar="DEG",
        help="raising: abduction, scapular, flexion, or degrees in front of the frontal plane (default scapular)",
    )
    parser.add_argument(
        "--arm", type=reader(ARMS), choices=tuple(ARMS), help="turning: where the arm is (default side)"
    )
    parser.add_argument(
        "--gh", metavar="DEG", help="measured of the humerus on the scapula, at the end of the movement"
    )
    parser.add_argument(
        "--scapula", metavar="DEG", help="upward rotation of the scapula from rest; when turning, its part of the turn"
    )
    parser.add_argument("--clavicle", metavar="DEG", help="how far the outer end of the clavicle has risen from rest")
    parser.add_argument("--thorax", metavar="DEG", help="thoracic extension during the movement")
    parser.add_argument(
        "--arms", type=lowered, choices=("one", "both"), help="raising: one alone or both together (default one)"
    )
    parser.add_argument(
        "--rhythm",
        metavar="ID",
        help="raising: published scapular rhythm: fluoroscopy, bone_pins, regression, coupled, two_to_one "
        "(default fluoroscopy)",
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")
    add_pictures(parser)


def run(options: argparse.Namespace) -> int:
    """Read the angles, share the loss, print it with every source."""
    from endfeel.anatomy.contributions import share_of_elevation, share_of_turning
    from endfeel.evidence.load import load_library

    library = load_library()
    known = read_known(options)
    _fitting(options, known)
    plane = read_plane(options.plane, library)
    if options.movement == "raising":
        shares = share_of_elevation(library, known, plane, 2 if options.arms == "both" else 1, options.rhythm)
    else:
        if options.movement == "inward" and options.arm == "side" and known.normal_deg is None:
            raise CannotRead(
                [Fault("no published norm for inward rotation, arm at the side", would_do="--other-side DEG")]
            )
        shares = share_of_turning(library, known, _turning(options.movement), options.arm)
    if wants_picture(options):
        write_pictures(options, lambda font: _picture(shares, options, known, plane, library, font))
    if options.json:
        print_json(shares_json(shares, options, known, plane, library))
    else:
        _print(shares, options, known, plane, library)
    return 0


def read_known(options: argparse.Namespace) -> Known:
    """The angles of the command line. Raises CannotRead with every one that cannot be."""
    from endfeel.anatomy.contributions import Known

    faults: list[Fault] = []
    words = {"total": options.total, "other-side": options.other, "gh": options.gh}
    words |= {"scapula": options.scapula, "clavicle": options.clavicle, "thorax": options.thorax}
    told = {name: _angle(name, word, faults) for name, word in words.items() if word is not None}
    if faults:
        raise CannotRead(faults)
    total, other = told["total"], told.get("other-side")
    return Known(
        total[0], total[1],
        normal_deg=other[0] if other else None, normal_error_deg=other[1] if other else None,
        glenohumeral=told.get("gh"), scapula=told.get("scapula"),
        clavicle=told.get("clavicle"), thorax=told.get("thorax"),
    )  # fmt: skip


def read_plane(word: str, library: Library) -> float:
    """Degrees in front of the frontal plane. Raises CannotRead."""
    from endfeel.anatomy.rhythm import plane_deg

    name = meant(word, PLANES)
    if name in PLANES and name != "backward":
        return plane_deg(library, name)
    try:
        plane = float(word.replace(",", "."))
    except ValueError:
        plane = float("nan")
    if not 0.0 <= plane <= 90.0:
        raise CannotRead([Fault("no such plane", word, "abduction, scapular, flexion, or 0 to 90", field="plane")])
    return plane


def shares_json(
    shares: Shares, options: argparse.Namespace, known: Known, plane: float, library: Library
) -> dict[str, Any]:
    """The shares as plain data; angles in degrees."""
    return {
        "release": library.release,
        "movement": options.movement,
        "plane_deg": plane if options.movement == "raising" else None,
        "rhythm": options.rhythm if options.movement == "raising" else None,
        "readings": readings_json(known, library),
        "normal_deg": round(shares.normal_deg, 2),
        "now_deg": round(shares.now_deg, 2),
        "lost_deg": round(shares.lost_deg, 2),
        "lost_sd_deg": round(shares.lost_sd_deg, 2),
        "beyond_error": _is_clear(shares),
        "readings_agree": max(shares.surprise_sd, shares.impossible_sd) <= _SURPRISING_SD,
        "parts": [_part_json(part, shares) for part in shares.parts],
        "groups": [_part_json(group, shares) for group in shares.groups],
        "provenance": shares.basis.provenance.label,
        "figures": [_figure_json(figure_id, library) for figure_id in shares.basis.figures],
        "caveats": list(_caveats(shares)),
        "caution": SHORT_CAUTION,
    }


def _part_json(part: PartShare, shares: Shares) -> dict[str, Any]:
    low, high = _interval(part)
    return {
        "joint": part.name,
        "normal_deg": round(part.normal_deg, 2),
        "now_deg": round(part.now_deg, 2),
        "lost_deg": round(part.lost_deg, 2),
        "lost_sd_deg": round(part.lost_sd_deg, 2),
        "low_deg": round(low, 2),
        "high_deg": round(high, 2),
        "share": None if part.share_ratio is None else round(part.share_ratio, 4),
        "share_sd": None if part.share_sd is None else round(part.share_sd, 4),
        "provenance": part.basis.joined(shares.basis).provenance.label,
        "figures": list(part.basis.figures),
    }


def _print(shares: Shares, options: argparse.Namespace, known: Known, plane: float, library: Library) -> None:
    from endfeel.evidence.cite import LEGEND, MARKS

    mark = MARKS[shares.basis.provenance]
    print(style(f"Share of each joint: {_movement(options, plane)}", "head"))
    if known.normal_deg is None:
        usual = f"{mark}{shares.normal_deg:.0f}° usual"
    else:
        usual = f"{known.normal_deg:g}° on the other side"
    lost = f"{mark}{shares.lost_deg:.0f}° ± {shares.lost_sd_deg:.0f} (one standard deviation)"
    print(f"Measured {known.total_deg:g}° of {usual}: lost {lost}".replace("-", "−"))
    plain = shares.normal_deg - known.total_deg
    if abs(plain - shares.lost_deg) >= 1.5:
        measured = any((known.glenohumeral, known.scapula, known.clavicle, known.thorax))
        moves = "what was measured of the joints" if measured else "what joints usually give and lose"
        print(f"(the total alone says {plain:.0f}°; {moves} moves it)".replace("-", "−"))
    if unclear := _no_shares(shares):
        print(style(unclear, "warn"))
    print(style(f"  {'':20} usual    now    lost   95 % interval   share of the loss (95 %)", "bold"))
    for part in shares.parts:
        print(_part_line(part, mark))
    for group in shares.groups:
        print(style(_part_line(group, mark) + "  (the two together)", "dim"))
    print("Errors taken (one standard deviation): " + "; ".join(_errors(known, library)))
    for caveat in _caveats(shares):
        print(style(f"Note: {caveat}", "warn"))
    print(style("Sources", "bold"))
    for line in source_lines(shares.basis.figures, library):
        print(style(f"  {line}", "dim"))
    print(style(LEGEND, "dim"))
    print(SHORT_CAUTION)
    print(f"Evidence release {library.release}")


def _movement(options: argparse.Namespace, plane: float) -> str:
    if options.movement == "raising":
        return f"raising the arm, {plane:g}° in front of the frontal plane"
    return f"turning the arm {options.movement}, arm {'at the side' if options.arm == 'side' else 'abducted'}"


def _picture(
    shares: Shares, options: argparse.Namespace, known: Known, plane: float, library: Library, font: str
) -> str:
    from endfeel import __version__
    from endfeel.pictures import JointPart, Words, share_picture

    parts = [
        JointPart(
            part.name,
            part.normal_deg,
            part.now_deg,
            part.lost_deg,
            _interval(part),
            part.share_ratio,
            _share_words(part),
        )
        for part in shares.parts
    ]
    usual = "usual" if known.normal_deg is None else "on the other side"
    lost = f"lost {shares.lost_deg:.0f}° ± {shares.lost_sd_deg:.0f} (one standard deviation)"
    unclear = filter(None, [_no_shares(shares)])
    label = f"Computed from {len(shares.basis.figures)} figures, the weakest of them {shares.basis.provenance.label}."
    words = Words(
        f"Share of each joint: {_movement(options, plane)}",
        f"{known.total_deg:g}° of {shares.normal_deg:.0f}° {usual}, {lost}".replace("-", "−"),
        [
            *unclear, *(caveat[0].upper() + caveat[1:] + "." for caveat in _caveats(shares)), label,
            f"Evidence release {library.release}, endfeel {__version__}. {SHORT_CAUTION}",
        ],
    )  # fmt: skip
    return share_picture(parts, words, font)


def _part_line(part: PartShare, mark: str) -> str:
    low, high = _interval(part)
    share = "" if part.share_ratio is None else f"{_share_words(part):19}{bar(part.share_ratio)}"
    numbers = "".join(f"{mark + _whole(value):>7}" for value in (part.normal_deg, part.now_deg, part.lost_deg))
    return f"  {part.name:19}{numbers}   {_whole(low):>5} to {_whole(high):>4}  {share}".rstrip()


def _whole(degrees: float) -> str:
    return f"{round(degrees) + 0:d}".replace("-", "−")


def _errors(known: Known, library: Library) -> list[str]:
    """Each reading with the error that was taken for it, and whether it was stated or published."""
    from endfeel.evidence.cite import MARKS
    from endfeel.evidence.figures import Provenance

    lines = []
    for reading in readings_json(known, library):
        label = reading["error_from"]
        mark = "" if label == "stated" else MARKS[Provenance.from_label(label)]
        lines.append(f"{reading['of']} {reading['value_deg']:g} ± {mark}{reading['error_deg']:.3g} ({label})")
    return lines


def readings_json(known: Known, library: Library) -> list[dict[str, Any]]:
    """Every reading with its error, and whether that was stated by the examiner or taken from the evidence."""
    from endfeel.anatomy.contributions import THORACIC, default_error

    told = {
        "total": ("total", (known.total_deg, known.total_error_deg)),
        "other side": ("total", None if known.normal_deg is None else (known.normal_deg, known.normal_error_deg)),
        "glenohumeral": ("glenohumeral", known.glenohumeral),
        "scapula": ("scapula", known.scapula),
        "clavicle": ("clavicle", known.clavicle),
        "thorax": (THORACIC, known.thorax),
    }
    readings: list[dict[str, Any]] = []
    for name, (kind, reading) in told.items():
        if reading is None:
            continue
        value, stated = reading
        error, basis = (stated, None) if stated is not None else default_error(library, kind)
        source = "stated" if basis is None else basis.provenance.label
        figures = [] if basis is None else list(basis.figures)
        readings.append({"of": name, "value_deg": value, "error_deg": error, "error_from": source, "figures": figures})
    return readings


def source_lines(figure_ids: tuple[str, ...], library: Library) -> list[str]:
    """One line a source and provenance: mark, citation, label, the rows used."""
    from endfeel.evidence.cite import MARKS

    rows: dict[tuple[str, str, str], list[str]] = {}
    for figure_id in figure_ids:
        figure = library.figure(figure_id)
        key = (MARKS[figure.provenance], figure.source.citation, figure.provenance.label)
        rows.setdefault(key, []).append(figure_id.rpartition(".")[0])
    return [
        f"{mark}{citation} [{label}]: {_shortened(list(dict.fromkeys(named)))}"
        for (mark, citation, label), named in rows.items()
    ]


def _shortened(rows: list[str]) -> str:
    most = 3
    more = f" and {len(rows) - most} more (all with --json)" if len(rows) > most else ""
    return ", ".join(rows[:most]) + more


def _figure_json(figure_id: str, library: Library) -> dict[str, Any]:
    figure = library.figure(figure_id)
    return {
        "id": figure_id,
        "value": figure.text,
        "unit": figure.unit,
        "source": figure.source.citation,
        "provenance": figure.provenance.label,
    }


def _caveats(shares: Shares) -> tuple[str, ...]:
    from endfeel.anatomy.sharing import CLEAR_SD

    more = []
    if any(part.share_ratio is not None and part.lost_deg < -CLEAR_SD * part.lost_sd_deg for part in shares.parts):
        more.append("a joint with a negative loss gives more than usual: it makes up for another")
    if shares.impossible_sd > _SURPRISING_SD:
        more.append(
            "no shoulder gives these readings together: taken as they are, a joint would give less than nothing "
            "or more than it can; measure again, and do not rely on the shares"
        )
    elif shares.surprise_sd > _SURPRISING_SD:
        more.append("the readings do not fit together well: measure again before you rely on the shares")
    more.append(
        "until measured, losses of different joints go together only a little; a share with a wide interval is a guess"
    )
    return (*shares.basis.caveats, *more)


def _is_clear(shares: Shares) -> bool:
    from endfeel.anatomy.sharing import CLEAR_SD

    return abs(shares.lost_deg) > CLEAR_SD * shares.lost_sd_deg


def _no_shares(shares: Shares) -> str:
    """Why no shares are given, or nothing where they are."""
    if not _is_clear(shares):
        return "The loss is not larger than measurement error: no shares are given."
    return "Nothing is lost, the arm goes farther: no shares are given." if shares.lost_deg < 0.0 else ""


def _interval(part: PartShare) -> tuple[float, float]:
    from endfeel.anatomy.sharing import CLEAR_SD

    reach = CLEAR_SD * part.lost_sd_deg
    return part.lost_deg - reach, max(part.lost_deg, min(part.lost_deg + reach, part.normal_deg))


def _share_words(part: PartShare) -> str:
    """ "44 % (12 to 76)": the part of the loss and its 95 % interval."""
    from endfeel.anatomy.sharing import CLEAR_SD

    if part.share_ratio is None or part.share_sd is None:
        return ""
    reach = CLEAR_SD * part.share_sd
    low, high = 100.0 * (part.share_ratio - reach), 100.0 * (part.share_ratio + reach)
    return f"{100.0 * part.share_ratio:.0f} % ({low:.0f} to {high:.0f})".replace("-", "−")


def _angle(name: str, word: str, faults: list[Fault]) -> tuple[float, float | None]:
    read = _ANGLE.fullmatch(re.sub(r"\s*(°|deg(rees?)?)\s*", "", word.strip().lower()))
    value = float(read[1].replace(",", ".")) if read else float("nan")
    error = float(read[2].replace(",", ".")) if read and read[2] else None
    if read is None or abs(value) > _LARGEST_DEG or (error is not None and not 0.0 < error < _LARGEST_DEG):
        would = f"degrees up to {_LARGEST_DEG:g}, such as 120 or 120±5"
        faults.append(Fault(f"--{name} is not an angle", word, would, field=name))
    return value, error


def _fitting(options: argparse.Namespace, known: Known) -> None:
    """Whether what is told fits the movement; what is left open gets its default. Raises CannotRead."""
    is_raising = options.movement == "raising"
    silent = ("arm",) if is_raising else ("clavicle", "thorax", "plane", "arms", "rhythm")
    movement, other = ("raising", "outward or inward") if is_raising else ("turning", "raising")
    faults = [
        Fault(f"--{name} says nothing about {movement} the arm", str(word), f"leave it out, or --movement {other}")
        for name in silent
        if (word := getattr(options, name)) is not None
    ]
    if is_raising and min(known.total_deg, known.normal_deg or 0.0) < 0.0:
        faults.append(
            Fault(
                "an arm is not raised below hanging", f"{min(known.total_deg, known.normal_deg or 0.0):g}", "0 or more"
            )
        )
    if faults:
        raise CannotRead(faults)
    for name, word in (("arm", "side"), ("plane", "scapular"), ("arms", "one"), ("rhythm", "fluoroscopy")):
        if getattr(options, name) is None:
            setattr(options, name, word)


def _turning(movement: str) -> Any:
    return _MOVEMENTS[movement]
