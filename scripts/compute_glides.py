"""Rebuild `computed_glides.csv`: which glide loads what stops a motion, in drawn people.

    python scripts/compute_glides.py

Some minutes on one core. Same evidence, same numbers. Run it after a change of the tables that the mechanical shoulder
rests on.
"""

from __future__ import annotations

import csv
from pathlib import Path

from endfeel.evidence.figures import number
from endfeel.evidence.load import load_library
from endfeel.mechanics.glide_answers import glide_answers

TABLE = Path(__file__).resolve().parents[1] / "src" / "endfeel" / "evidence" / "data" / "computed_glides.csv"
HEADER = (
    "id", "contributor", "procedure", "direction", "added_strain", "added_strain_sd", "best_share", "people",
    "counted_share", "source", "provenance", "note",
)  # fmt: skip


def main() -> None:
    """Compute every answer and write the table."""
    library = load_library()
    settings = {row.text["quantity"]: row.figures["value"] for row in library.tables["treatment_parameters"]}
    answers = glide_answers(
        library,
        int(number(settings["glide_people"])),
        0,
        number(settings["glide_force_N"]),
        number(settings["glide_short_of_end_deg"]),
    )
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEADER)
        for place, one in enumerate(answers, 1):
            writer.writerow(
                (
                    f"cg{place:04d}", one.contributor, one.procedure, one.direction, f"{one.added_strain:.2f}",
                    f"{one.sd:.2f}", f"{one.best_share:.2f}", one.people, f"{one.counted_share:.2f}",
                    "endfeel-model", "practice", "",
                )
            )  # fmt: skip


if __name__ == "__main__":
    main()
