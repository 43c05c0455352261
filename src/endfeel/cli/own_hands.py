"""`--hands FILE`: reading a case with one examiner's own agreement."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from endfeel.cli.case_file import STANDARD_INPUT, case_text_of
from endfeel.cli.terminal import say
from endfeel.vocabulary import CannotRead, Case, Fault

if TYPE_CHECKING:
    from endfeel.evidence.library import Library
    from endfeel.inference import Examiner, Model

WANTED = "a file of own agreement, as `endfeel agree --hands` writes it"


def add_hands(parser: argparse.ArgumentParser) -> None:
    """The option, the same for every command that reasons."""
    parser.add_argument("--hands", metavar="FILE", help="your own agreement (`endfeel agree --hands` writes it)")


def read_own(path: str, library: Library) -> Examiner:
    """The examiner in the file at `path`. Raises CannotRead with every fault."""
    from endfeel.inference.hands_file import read_hands

    if path == STANDARD_INPUT:
        raise CannotRead([Fault("own agreement comes from a file", path, f"the path of {WANTED}")])
    return read_hands(case_text_of(path, WANTED), Path(path).name, library)


def model_for(options: argparse.Namespace, case: Case, library: Library) -> tuple[Model | None, tuple[str, ...]]:
    """The model for the hands that were named and what they change in this case; None and nothing for the usual."""
    if not options.hands:
        return None, ()
    from endfeel.inference import build_model
    from endfeel.inference.own_words import own_words

    examiner = read_own(options.hands, library)
    return build_model(library, examiner), own_words(case, library, build_model(library), examiner)


def print_own(own: tuple[str, ...]) -> None:
    """Whose hands, and a line for each finding they change; nothing for the usual ones."""
    for at, line in enumerate(own):
        say(line, "    " if at else "  ")
