"""A row that contradicts itself is kept and shown, and nothing is computed from it."""

from __future__ import annotations

from endfeel.evidence.library import Library
from endfeel.inference import build_model


def test_no_link_rests_on_a_row_that_must_carry_no_weight(library: Library) -> None:
    barred = [row.id for row in library.tables["diagnostic_accuracy"] if not row.carries_weight]
    used = {
        figure.split(".")[1]
        for spec in build_model(library).binaries.values()
        for _, _, link in spec.causes
        for figure in link.figures
        if figure.startswith("diagnostic_accuracy.")
    }
    assert barred
    assert used
    assert not used & set(barred)
