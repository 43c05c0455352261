"""Each kind of fault, shown by breaking one piece of a whole set of files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from endfeel.evidence.check import check_library
from endfeel.evidence.figures import number
from endfeel.evidence.load import DataFiles, data_files, load_folder
from endfeel.vocabulary import EvidenceFault, Fault

Breaker = Callable[[str, str, str], Path]


def faults_of(folder: Path) -> tuple[Fault, ...]:
    with pytest.raises(EvidenceFault) as caught:
        load_folder(folder)
    return caught.value.faults


def only(faults: tuple[Fault, ...]) -> tuple[str, int, int, str]:
    assert len(faults) == 1, [fault.sentence() for fault in faults]
    (fault,) = faults
    return fault.file, fault.line, fault.column, fault.message


def test_the_whole_set_has_no_fault_and_gives_figures_with_unit_interval_people_and_population(folder: Path) -> None:
    assert check_library(folder) == ()
    library = load_folder(folder)
    figure = library.figure("accuracy.a1.sensitivity")
    assert (number(figure), figure.unit, figure.low, figure.high) == (0.80, "probability", 0.70, 0.90)
    assert (figure.n, figure.population, figure.source.id, figure.provenance.label) == (
        200,
        "clinic",
        "first2001",
        "read",
    )
    assert library.figure("error.e1.sem").unit == "deg"
    span = library.figure("error.e2.mdc")
    assert (span.low, span.high) == (8, 10)
    with pytest.raises(ValueError, match="not a number"):
        number(span)
    assert library.figure("error.e1.p_value").high == 0.001


def test_figures_inside_documents_have_ids_of_their_own(folder: Path) -> None:
    library = load_folder(folder)
    assert library.figure("rules.edge.figure1").source.id == "second2002"
    limit, advice = library.figure("rules.edge.limit"), library.figure("rules.edge.advice")
    assert (number(limit), limit.unit, limit.provenance.label) == (4.5, "mm", "memory")
    assert (advice.text, advice.provenance.label) == ("stop at the edge", "practice")


def test_a_procedure_carries_levels_sidedness_and_what_forbids_it(folder: Path) -> None:
    procedure = load_folder(folder).catalogue["slide"]
    assert (procedure.levels, procedure.sided, procedure.skip_if) == (("T5", "R3"), False, ("fracture",))


@pytest.mark.parametrize(
    ("file", "old", "new", "place"),
    [
        ("accuracy.csv", "hospital,,second2002", "hospital,,nobody1999", ("accuracy.csv", 3, 40, "unknown source")),
        ("accuracy.csv", "second2002,memory", "second2002,certain", ("accuracy.csv", 3, 51, "unknown provenance")),
        ("accuracy.csv", "twist,0.60", "twist,often", ("accuracy.csv", 3, 10, "not a number")),
        ("accuracy.csv", "twist,0.60", "twist,1.60", ("accuracy.csv", 3, 10, "sensitivity out of bounds")),
        ("accuracy.csv", "twist,0.60", "twist,nan", ("accuracy.csv", 3, 10, "not a number")),
        ("accuracy.csv", ",40,", ",40.5,", ("accuracy.csv", 3, 27, "not a whole number")),
        ("accuracy.csv", "0.70,0.90,0.90", "0.90,0.70,0.90", ("accuracy.csv", 2, 23, "bounds reversed")),
        ("accuracy.csv", "hospital", "field", ("accuracy.csv", 3, 30, "not one of the choices")),
        ("accuracy.csv", "a2,twist", "a2,", ("accuracy.csv", 3, 4, "empty test")),
        ("accuracy.csv", "a2,twist", "a1,twist", ("accuracy.csv", 3, 1, "duplicate id")),
        ("accuracy.csv", "a2,twist", ",twist", ("accuracy.csv", 3, 1, "empty id")),
        ("accuracy.csv", "a2,twist,", "a2,twist,,", ("accuracy.csv", 3, 1, "wrong number of cells")),
        ("error.csv", "8 to 10", "10 to 8", ("error.csv", 3, 16, "bounds reversed")),
        ("error.csv", "deg,,first2001", ",,first2001", ("error.csv", 2, 40, "missing unit")),
        ("error.csv", "0.04", "1.4", ("error.csv", 3, 25, "p_value out of bounds")),
        ("sources.csv", "second2002,", "first2001,", ("sources.csv", 3, 1, "duplicate id")),
        ("sources.csv", '"Second 2002 Invented J 2:2"', "", ("sources.csv", 3, 12, "empty citation")),
        ("procedures.toml", '"supine"]', '"kneeling"]', ("procedures.toml", 6, 21, "no such position")),
        ("procedures.toml", '= "side_lying"', '= "prone"', None),
        ("procedures.toml", 'outcomes = "glide"', 'outcomes = "smile"', ("procedures.toml", 15, 12, "no such outcome")),
        ("procedures.toml", '"T5"', '"T15"', ("procedures.toml", 16, 10, "no such level")),
        ("procedures.toml", "load = 1", "load = 9", None),
        ("procedures.toml", "seconds = 20", "seconds = 0", None),
        ("procedures.toml", 'fixed = "scapula"\n', "", None),
        ("rules.toml", "limit = 4.5", "limit = ", None),
        ("tables.toml", 'sem = { kind = "number", unit_from = "unit", min = 0 }', 'sem = { kind = "number" }', None),
        ("tables.toml", 'n = "people"', 'n = "crowd"', None),
        ("tables.toml", 'mdc = { kind = "measure"', 'mdc = { kind = "guess"', None),
    ],
)
def test_one_broken_piece_is_named_with_file_line_and_column(
    broken: Breaker, file: str, old: str, new: str, place: tuple[str, int, int, str] | None
) -> None:
    faults = faults_of(broken(file, old, new))
    if place is not None:
        assert place in {(fault.file, fault.line, fault.column, fault.message) for fault in faults}
    assert {fault.file for fault in faults} >= {file}
    assert all(fault.message and fault.sentence().startswith(fault.file) for fault in faults)


@pytest.mark.parametrize(
    ("file", "old", "new", "message"),
    [
        ("accuracy.csv", "id,test,", "id,what,", "unknown column"),
        ("accuracy.csv", "id,test,", "id,what,", "missing column"),
        ("accuracy.csv", "sens_low,sens_high", "sens_low,sens_low", "column twice"),
        (
            "procedures.toml",
            'preferred_position = "side_lying"',
            'preferred_position = "prone"',
            "preferred position is not among the positions",
        ),
        ("procedures.toml", "load = 1", "load = 9", "provocation out of bounds"),
        ("procedures.toml", "seconds = 20", "seconds = 0", "no duration"),
        ("procedures.toml", 'fixed = "scapula"\n', "", "missing fixed"),
        ("procedures.toml", 'informs = ["stiffness"]', 'informs = "stiffness"', "informs of the wrong sort"),
        ("procedures.toml", "[[procedure]]", "[procedure]", "not a list of procedures"),
        ("tables.toml", 'title = "Invented error"', "", "table error: missing title"),
        ("tables.toml", "[table.error.column]", "[table.error.columns]", "table error: missing column"),
        ("procedures.toml", 'side_lying = "standard"', 'side_lying = "often"', "not one of the choices"),
        ("tables.toml", 'mdc = { kind = "measure"', 'mdc = { kind = "guess"', "error.mdc: unknown kind 'guess'"),
    ],
)
def test_the_reason_of_a_fault_is_said(broken: Breaker, file: str, old: str, new: str, message: str) -> None:
    assert message in {fault.message for fault in faults_of(broken(file, old, new))}


def test_a_file_that_is_missing_or_not_text_is_a_fault(folder: Path) -> None:
    (folder / "error.csv").unlink()
    raw = (folder / "accuracy.csv").read_bytes()
    (folder / "accuracy.csv").write_bytes(raw.replace(b"twist", b"tw\xffst"))
    found = {(fault.file, fault.message, fault.line) for fault in faults_of(folder)}
    assert found == {("error.csv", "missing file", 0), ("accuracy.csv", "not UTF-8", 3)}


@pytest.mark.parametrize(
    ("file", "old", "new", "message"),
    [
        ("accuracy.csv", ",80,10,20,90,", ",70,10,30,90,", "counts disagree with the printed sensitivity"),
        ("accuracy.csv", ",80,10,20,90,", ",80,40,20,60,", "counts disagree with the printed specificity"),
        ("accuracy.csv", ",200,200,clinic", ",150,200,clinic", "counts do not add up to the people"),
        ("accuracy.csv", "LR+=8.0", "LR+=18.0", "LR+ does not fit the printed sensitivity and specificity"),
        ("accuracy.csv", "LR-=0.22", "LR-=0.02", "LR- does not fit the printed sensitivity and specificity"),
        ("accuracy.csv", "0.80,0.70,0.90", "0.80,0.85,0.90", "outside its interval"),
        ("error.csv", "2.0,5.54", "2.0,9.54", "detectable change does not follow from the error"),
        ("error.csv", "10,20,30", "10,40,30", "percentiles out of order"),
        ("sources.csv", "second2002,", "third2003,x,\nsecond2002,", "unused source"),
        ("rules.toml", 'provenance = "memory"', 'provenance = "certain"', "unknown provenance"),
        ("rules.toml", '"second2002"', '"nobody"', "unknown source"),
        ("sources.csv", "https://example.org/first", "PMC123", "address in short form"),
        ("rules.toml", 'advice_provenance = "practice"', "", ""),
    ],
)
def test_a_contradiction_is_found_by_the_long_check(
    broken: Breaker, file: str, old: str, new: str, message: str
) -> None:
    faults = check_library(broken(file, old, new))
    assert message in {fault.message for fault in faults} if message else not faults


def test_a_row_that_owns_up_to_its_doubt_is_left_in_peace(broken: Breaker) -> None:
    broken("accuracy.csv", "LR+=8.0", "LR+=18.0")
    folder = broken("accuracy.csv", "clinic,,", "clinic,printed ratio does not fit,")
    assert check_library(folder) == ()


def test_a_row_said_twice_is_found(folder: Path) -> None:
    text = (folder / "accuracy.csv").read_text(encoding="utf-8")
    (folder / "accuracy.csv").write_text(text + text.splitlines()[2].replace("a2", "a3") + "\n", encoding="utf-8")
    (fault,) = check_library(folder)
    assert (fault.message, fault.line, fault.read) == ("says the same as a2", 4, "a3")


def test_a_new_file_needs_a_declaration_and_no_code(folder: Path) -> None:
    (folder / "extra.csv").write_text("id,angle,source,provenance,note\nx1,12,first2001,read,\n", encoding="utf-8")
    assert [fault.message for fault in check_library(folder)] == ["undeclared file"]
    with (folder / "tables.toml").open("a", encoding="utf-8") as declaration:
        declaration.write('\n[table.extra]\ntitle = "Extra"\ntopic = "new"\n[table.extra.column]\n')
        declaration.write('angle = { kind = "number", unit = "deg" }\n')
    assert check_library(folder) == ()
    assert load_folder(folder).figure("extra.x1.angle").unit == "deg"


def test_a_file_is_refused_when_it_is_first_needed_and_not_before(broken: Breaker) -> None:
    library = DataFiles(data_files(broken("accuracy.csv", "twist,0.60", "twist,often"))).library()
    assert number(library.figure("error.e1.sem")) == 2.0
    with pytest.raises(EvidenceFault, match=r"accuracy\.csv:3:10: not a number"):
        library.figure("accuracy.a1.sensitivity")


def test_a_fault_inside_a_document_is_found_on_its_line(broken: Breaker) -> None:
    folder = broken("rules.toml", '"second2002"', '"nobody"')
    (fault,) = [fault for fault in check_library(folder) if fault.message == "unknown source"]
    line = (folder / "rules.toml").read_text(encoding="utf-8").splitlines()[fault.line - 1]
    assert line[fault.column - 1 :].startswith('source = "nobody"')
    assert (fault.file, fault.read) == ("rules.toml", "nobody")


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_a_file_holds_only_faults_come_of_it(folder: Path, data: st.DataObject) -> None:
    files = {path.name: path.read_bytes() for path in folder.iterdir()}
    name = data.draw(st.sampled_from(sorted(files)))
    raw = files[name]
    start = data.draw(st.integers(0, len(raw)))
    length = data.draw(st.integers(0, 40))
    files[name] = raw[:start] + data.draw(st.binary(max_size=12)) + raw[start + length :]
    faults = DataFiles(files).faults()
    assert all(fault.message and fault.file in files for fault in faults)
