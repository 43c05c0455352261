"""`endfeel links`: examine a drawn population with and without every contributor; write the links it computes."""

from __future__ import annotations

import argparse
import csv
import hashlib
import time
from pathlib import Path
from typing import TYPE_CHECKING

from endfeel.cli.processes import check_jobs, configure_jobs, run_jobs
from endfeel.vocabulary import CannotRead, Fault

if TYPE_CHECKING:
    from endfeel.evidence.library import Library
    from endfeel.mechanics.links import Block, ComputedLink

TABLE = Path(__file__).parents[1] / "evidence" / "data" / "computed_links.csv"
COLUMNS = (
    "id", "contributor", "procedure", "outcome", "present", "absent", "effect_deg", "effect_sd_deg", "people",
    "converged_share", "inputs", "source", "provenance", "note",
)  # fmt: skip
SOURCE = "endfeel-model"


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--people", type=int, default=1000, metavar="N", help="shoulders drawn (default 1000)")
    parser.add_argument("--seed", type=int, default=0, help="decides who they are (default 0)")
    configure_jobs(parser)
    parser.add_argument(
        "--to", type=Path, default=TABLE, metavar="FILE", help="where the table goes (default: the evidence)"
    )
    parser.add_argument("--check", action="store_true", help="only say whether the kept table fits its inputs")


def run(options: argparse.Namespace) -> int:
    """Build the table, or say whether the kept one is of these inputs. Returns 1 when it is not."""
    from numpy.random import SeedSequence

    from endfeel.evidence.load import load_library
    from endfeel.mechanics.links import BLOCK, add_blocks, links_from
    from endfeel.mechanics.parameters import read_parameters

    library = load_library()
    if options.check:
        return check(library)
    check_jobs(options, 1000)
    _check_place(options.to)
    sizes = [min(BLOCK, options.people - start) for start in range(0, options.people, BLOCK)]
    seeds = [int(one.generate_state(1)[0]) for one in SeedSequence(options.seed).spawn(len(sizes))]
    blocks = list(zip(seeds, sizes, strict=True))
    began = time.perf_counter()
    done = list(run_jobs(examine, blocks, options.workers, options.scheduler))
    found = links_from(add_blocks(block for _, block in done), library, read_parameters(library))
    write(found, options.to, inputs_key(library))
    print(f"{len(found)} links from {options.people} shoulders in {time.perf_counter() - began:.0f} s: {options.to}")
    return 0


def _check_place(place: Path) -> None:
    """Before the work, not after it: whether the table can be written there. Raises CannotRead."""
    if not place.parent.is_dir():
        raise CannotRead([Fault("no such folder", str(place.parent), "a folder that is there", field="to")])


def inputs_key(library: Library) -> str:
    """Twelve hexadecimal digits that change when any figure the model is computed from changes: whole tables of its
    own, and of the bones the figures behind a drawn person's sizes."""
    from numpy.random import default_rng

    from endfeel.anatomy.sizes import drawn_sizes
    from endfeel.evidence.load import data_files
    from endfeel.mechanics.links import INPUTS

    files, digest = data_files(), hashlib.sha256()
    for name in INPUTS:
        digest.update(name.encode() + b"\0" + files[f"{name}.csv"])
    for figure_id in sorted(drawn_sizes(library, 1, default_rng(0)).basis.figures):
        digest.update(f"{figure_id}={library.figure(figure_id).text};".encode())
    return digest.hexdigest()[:12]


def check(library: Library) -> int:
    """Whether every kept link was computed from the figures as they are."""
    wanted, kept = inputs_key(library), {row.text["inputs"] for row in library.tables["computed_links"]}
    if kept == {wanted}:
        print(f"the computed links are of these inputs ({wanted})")
        return 0
    print(f"the computed links are of other inputs ({', '.join(sorted(kept)) or 'none'}, not {wanted}): run make links")
    return 1


def write(links: tuple[ComputedLink, ...], place: Path, key: str) -> None:
    """The table as the evidence keeps it, put in place whole."""
    part = place.with_suffix(".part")
    with part.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        for number, link in enumerate(links, 1):
            writer.writerow(
                (
                    f"cl{number:04d}",
                    link.contributor,
                    link.procedure,
                    link.outcome,
                    _rounded(link.present, 3),
                    _rounded(link.absent, 3),
                    _rounded(link.effect_deg, 1),
                    _rounded(link.effect_sd_deg, 1),
                    link.people,
                    _rounded(link.converged_share, 3),
                    key,
                    SOURCE,
                    "practice",
                    "",
                )
            )
    part.replace(place)


def _rounded(value: float | None, digits: int) -> str:
    return "" if value is None else f"{value:.{digits}f}"


def examine(seed: int, people: int) -> tuple[int, Block]:
    """One block, wherever it is computed."""
    from endfeel.evidence.load import load_library
    from endfeel.mechanics.links import examine_block

    return seed, examine_block(load_library(), seed, people)
