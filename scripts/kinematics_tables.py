"""Tables of docs/kinematics.md, computed: agreement with publications and open data, motions, claims.

    python scripts/kinematics_tables.py            print them
    python scripts/kinematics_tables.py --write    put them into docs/kinematics.md

The open data lie outside the repository (environment variable ENDFEEL_KINEMATICS, else a folder beside it); where
they are absent their table is left as it stands.
"""

from __future__ import annotations

import argparse
import csv
import os
import re
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path

from endfeel.anatomy.agreement import Agreement, Measured, compared, open_data, published
from endfeel.anatomy.rhythm import DEFAULT_RHYTHM, find_rhythm, rhythms
from endfeel.anatomy.scapular_motions import MOTIONS, in_words, scapular_motion
from endfeel.anatomy.sizes import default_sizes
from endfeel.anatomy.sternal_glide import answers
from endfeel.anatomy.units import deg_from_rad
from endfeel.evidence.library import Library
from endfeel.evidence.load import load_library

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "kinematics.md"
NAMES = {"henninger2020": "Henninger 2020 (table)", "ludewig2009": "Ludewig 2009 (table)"}


def data_file() -> Path:
    """Where the open data should lie."""
    folder = os.environ.get("ENDFEEL_KINEMATICS")
    return (
        Path(folder) if folder else ROOT.parent / "shared" / "data" / "kinematics"
    ) / "girdle_elevation_rotations.csv"


def read_open_data(library: Library) -> list[Measured] | None:
    """The open data as cells; None where they are absent."""
    if not data_file().is_file():
        return None
    with data_file().open(encoding="utf-8", newline="") as file:
        return open_data(list(csv.DictReader(file)), library)


def agreement_table(cells: Iterable[Measured], library: Library) -> str:
    """One row a study and angle, one column a rhythm: cells within one standard deviation, root mean square."""
    cells, sizes = list(cells), default_sizes(library)
    choices = rhythms(library)
    rows: dict[tuple[str, str], dict[str, Agreement]] = {}
    for choice in choices.values():
        for one in compared(cells, choice, sizes, library):
            rows.setdefault((one.study, one.quantity), {})[choice.id] = one
    lines = [f"| study | angle | {' | '.join(choices)} |", f"|---|---|{'---|' * len(choices)}"]
    lines += [
        f"| {NAMES.get(study, study)} | {quantity} | {' | '.join(_cell(found[name]) for name in choices)} |"
        for (study, quantity), found in rows.items()
    ]
    lines.append(
        f"| **other studies than its own** | all judged | {' | '.join(_whole(rows, name) for name in choices)} |"
    )
    return "\n".join(lines)


def _cell(one: Agreement) -> str:
    counted = f"{one.within}/{one.judged}, " if one.judged else "no spread, "
    return f"{counted}{one.difference_deg:.1f}°{' (own)' if one.is_own else ''}"


def _whole(rows: Mapping[tuple[str, str], Mapping[str, Agreement]], name: str) -> str:
    others = [found[name] for found in rows.values() if not found[name].is_own]
    within, judged = sum(one.within for one in others), sum(one.judged for one in others)
    return f"{within}/{judged} ({100 * within / judged:.0f} %)"


def motions_table(library: Library) -> str:
    """The eight motions of the scapula of the average person."""
    rhythm, sizes = find_rhythm(library, DEFAULT_RHYTHM), default_sizes(library)
    lines = [
        "| motion | AC joint goes | clavicle rolls backward | scapula inward, up, back | at the AC joint | solved |",
        "|---|---|---|---|---|---|",
    ]
    for name in MOTIONS:
        motion = scapular_motion(name, rhythm, sizes, library)
        blade, joint = (_turns(angles) for angles in (motion.scapula_rad, motion.joint_rad))
        roll = f"{float(deg_from_rad(motion.clavicle_roll_rad)):+.1f}°"
        solved = "yes" if motion.converged else "no"
        lines.append(f"| {name} | {in_words(motion.acromion_shift_m)} | {roll} | {blade} | {joint} | {solved} |")
    return "\n".join(lines)


def _turns(angles_rad: Iterable[float]) -> str:
    inward, down, back = (float(deg_from_rad(angle)) for angle in angles_rad)
    return f"{inward:+.0f}°, {-down:+.0f}°, {back:+.0f}°".replace("-0°", "+0°")


def claims_table(library: Library) -> str:
    """The trade's claims about the clavicle, each answered."""
    lines = ["| claim (common practice, no source) | computed | agrees | rests on |", "|---|---|---|---|"]
    for answer in answers(library, find_rhythm(library, DEFAULT_RHYTHM), default_sizes(library)):
        verdict = "yes" if answer.agrees else "**no**"
        lines.append(f"| {answer.claim} | {answer.computed} | {verdict} | {answer.holds_on} |")
    return "\n".join(lines)


def tables(library: Library) -> dict[str, str]:
    """Every table of the page by the name of its place; the open data only where they are present."""
    made = {
        "published": agreement_table(published(library), library),
        "motions": motions_table(library),
        "claims": claims_table(library),
    }
    measured = read_open_data(library)
    if measured is not None:
        made["open data"] = agreement_table(measured, library)
    return made


def placed(page: str, made: Mapping[str, str]) -> str:
    """The page with every table in its place."""
    for name, table in made.items():
        block = re.compile(rf"(<!-- {name} -->\n).*?(<!-- end -->)", re.DOTALL)
        if not block.search(page):
            raise SystemExit(f"no place for the table {name!r} in {PAGE.name}")
        before, _, after = page.partition(f"<!-- {name} -->\n")
        page = f"{before}<!-- {name} -->\n{table}\n<!-- end -->{after.partition('<!-- end -->')[2]}"
    return page


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="put the tables into docs/kinematics.md")
    made = tables(load_library())
    if parser.parse_args().write:
        PAGE.write_text(placed(PAGE.read_text(encoding="utf-8"), made), encoding="utf-8")
    else:
        for name, table in made.items():
            print(f"## {name}\n{table}\n")
    if "open data" not in made:
        print(f"open data absent ({data_file()}): their table is left as it stands", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())
