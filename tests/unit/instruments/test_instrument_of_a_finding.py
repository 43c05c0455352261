"""The instrument stands in the note, is read back, and a re-test knows whether it was the same."""

from __future__ import annotations

import pytest

from endfeel.assessment import shorthand_of
from endfeel.evidence.figures import number
from endfeel.evidence.library import Library
from endfeel.instruments import known_error
from endfeel.measurement import compare_findings
from endfeel.vocabulary import Finding, Side, Unit
from endfeel.vocabulary.findings import INSTRUMENTS, measured_with
from endfeel.vocabulary.shorthand import finding_text, parse_finding


def angle(value: float, instrument: str) -> Finding:
    return Finding("act_flexion", Side.RIGHT, value=value, unit=Unit.DEGREES, note=measured_with(instrument))


@pytest.mark.parametrize("instrument", INSTRUMENTS)
def test_it_is_kept_in_the_note_through_the_shorthand_and_read_back(instrument: str, library: Library) -> None:
    line = finding_text(angle(120, instrument))
    again = parse_finding(line, shorthand_of(library), Side.RIGHT)
    assert (again.instrument, again.value) == (instrument, 120)
    assert Finding("act_flexion", Side.RIGHT, value=1.0, note="seen by a phone call").instrument is None


def test_two_instruments_are_said_beside_the_change(library: Library) -> None:
    procedure = library.catalogue["act_flexion"]
    mixed = compare_findings(angle(120, "goniometer"), angle(150, "phone"), procedure, library)
    assert any("two instruments need not agree" in one for one in mixed.caveats)
    same = compare_findings(angle(120, "phone"), angle(150, "phone"), procedure, library)
    assert not any("two instruments" in one for one in same.caveats)


def test_the_known_error_of_a_phone_names_its_row_and_its_bias(library: Library) -> None:
    found = known_error("act_flexion", "phone", library)
    assert found.basis is not None
    assert found.basis.row in library.tables["measurement_error"].rows
    assert found.basis.mdc95.value.provenance.label in ("read", "memory", "practice")
    assert found.bias is not None
    assert (number(found.bias), found.bias.low, found.bias.high) == (3.4, -8.9, 15.8)
    assert known_error("act_flexion", "inclinometer", library).bias is None
    assert known_error("hawkins", "phone", library).basis is None
