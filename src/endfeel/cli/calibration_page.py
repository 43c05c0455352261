"""The page of the calibration report: its tables between marks, and the picture beside it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from endfeel.cli.calibrate import (
    COLUMNS,
    HIDDEN_COLUMNS,
    INTERVAL_COLUMNS,
    conclusions,
    hidden_rows,
    interval_rows,
    rows,
)
from endfeel.pictures.line_chart import Axes, Curve
from endfeel.pictures.play_sheet import play_picture
from endfeel.pictures.restraint_sheet import Words
from endfeel.simulate import ARMS, CONDITIONS, FAIR, LENGTHS, ONE_LENGTH, UNEXAMINED
from endfeel.vocabulary import SHORT_CAUTION, CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.simulate import Scores
    from endfeel.simulate.calibration import Key

FIRST = next(iter(CONDITIONS))


def write_page(
    place: Path,
    found: Mapping[Key, Scores],
    draws: Sequence[Mapping[Key, Scores]],
    people: int,
    seed: int,
    release: str,
) -> None:
    """Put what was found between the marks of the page. Raises CannotRead when the page has no such marks."""
    page = place.read_text(encoding="utf-8")
    command = f"`endfeel calibrate --people {people} --seed {seed} --write {place.name}`, evidence release {release}"
    parts = {
        "in short": "\n".join(f"- {one}" for one in conclusions(found, draws)) + f"\n\nMade by {command}.",
        "scores": table(COLUMNS, rows(found)),
        "intervals": table(INTERVAL_COLUMNS, interval_rows(found, draws)),
        "by hidden": table(HIDDEN_COLUMNS, hidden_rows(found)),
        "curve": curve_table(found),
    }
    for name, words in parts.items():
        pattern = re.compile(rf"(<!-- {name} -->\n).*?(<!-- end -->)", re.DOTALL)
        if not pattern.search(page):
            raise CannotRead([Fault(f"no place for {name!r}", str(place), f"<!-- {name} --> and <!-- end -->")])
        page = pattern.sub(lambda match, words=words: f"{match[1]}{words}\n{match[2]}", page, count=1)  # type: ignore[misc]
    place.write_text(page, encoding="utf-8")
    place.with_suffix(".svg").write_text(picture(found, draws, people), encoding="utf-8")


def table(columns: Sequence[str], body: Sequence[Sequence[str]]) -> str:
    """A table of the page."""
    lines = [f"| {' | '.join(columns)} |", "|" + "---|" * len(columns)]
    return "\n".join([*lines, *(f"| {' | '.join(row)} |" for row in body)])


def curve_table(found: Mapping[Key, Scores]) -> str:
    """What was said and what was so at twenty minutes."""
    lines = ["| way | said | so | forecasts |", "|---|---|---|---|"]
    for arm in ARMS[:3]:
        for said, so, count in found[FIRST, ONE_LENGTH, arm].everything.curve:
            lines.append(f"| {arm} | {said:.0%} | {so:.0%} | {count:.0f} |")
    return "\n".join(lines)


def picture(found: Mapping[Key, Scores], draws: Sequence[Mapping[Key, Scores]], people: int) -> str:
    """Two charts: what was said against what was so, and the first three by minutes."""
    curves = [Curve("as said", np.array([0.0, 1.0]), np.array([0.0, 1.0]))]
    for arm in ARMS[:3]:
        points = np.array([(said, so) for said, so, _ in found[FIRST, ONE_LENGTH, arm].everything.curve])
        curves.append(Curve(arm, points[:, 0], points[:, 1]))
    by_minutes = []
    for arm in (ARMS[0], "textbook order", FAIR, "random order"):
        scores = [found[FIRST, 0.0, UNEXAMINED], *(found[FIRST, minutes, arm] for minutes in LENGTHS)]
        used = np.array([one.each("minutes") for one in scores])
        by_minutes.append(
            Curve(
                "without screening" if arm == FAIR else arm,
                used,
                np.array([one.share("right_of_three") for one in scores]),
            )
        )
    box = (0.0, 0.0, 0.0, 0.0)
    charts = (
        (curves, Axes("Said and so, 20 minutes", "probability said", "share that was so", box, 170.0)),
        (by_minutes, Axes("Of the first three, how many are there", "minutes used", "share", box, 170.0)),
    )
    title = "Are the probabilities right?"
    told = " ".join(conclusions(found, draws))
    words = Words(
        title, f"{people} simulated people, invented; truth drawn from the links of the program", (SHORT_CAUTION,)
    )
    return play_picture(charts, (), words, told)
