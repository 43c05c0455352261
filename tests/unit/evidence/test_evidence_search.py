"""Searching, counting and the command that shows both."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from endfeel.cli.main import main
from endfeel.evidence.census import END, START, census, census_markdown
from endfeel.evidence.figures import Provenance
from endfeel.evidence.library import Library
from endfeel.evidence.load import SHIPPED, data_files, load_folder, release_of
from endfeel.evidence.search import search
from endfeel.vocabulary import EvidenceFault, NotFound


def test_every_word_must_occur_and_the_row_about_it_comes_first(library: Library) -> None:
    hits = search(library, ["Hawkins", "impingement"])
    assert hits
    for hit in hits:
        words = " ".join((hit.id, hit.title, hit.note, hit.source.citation, *(figure.text for figure in hit.figures)))
        assert "hawkins" in words.lower()
    assert hits[0].id.startswith("diagnostic_accuracy.")
    assert "hawkins" in hits[0].title.lower()
    assert [hit.score for hit in hits] == sorted((hit.score for hit in hits), reverse=True)
    assert not search(library, ["hawkins", "zeppelin"])


def test_search_looks_into_documents_too(library: Library) -> None:
    found = {hit.id for hit in search(library, ["posterior", "dislocation", "missed"])}
    assert "safety.gh_posterior_dislocation.figure1" in found


def test_topic_and_label_narrow_the_search(library: Library) -> None:
    hits = search(library, ["flexion"], topic="norms", provenance=Provenance.MEMORY)
    assert hits
    assert {(hit.topic, hit.provenance) for hit in hits} == {("norms", Provenance.MEMORY)}


def test_every_figure_id_resolves_to_the_figure_of_that_id(library: Library) -> None:
    ids = list(library.figures)
    assert len(ids) == len(set(ids)) == len(library.figures)
    assert all(library.figure(figure_id).id == figure_id for figure_id in ids)
    for wrong in ("", "nothing", "norms", "norms.no001", "norms.no001.x", "norms.x.mean", "x.y.z", "safety.fracture.x"):
        assert wrong not in library.figures
        with pytest.raises(NotFound, match="searches them"):
            library.figure(wrong)


def test_every_number_has_a_unit_a_source_and_a_label(library: Library) -> None:
    bare = [f.id for f in library.figures.values() if f._value is not None and not f.unit and "." in f.id]
    declared = [
        figure_id
        for figure_id in bare
        if getattr(library.tables.get(figure_id.split(".")[0]), "topic", "") != "undeclared"
    ]
    assert not declared
    assert all(f.source.citation.strip() and f.source.id in library.sources for f in library.figures.values())


def test_the_release_changes_when_one_byte_changes() -> None:
    files = data_files()
    before = release_of(files)
    assert before == release_of(dict(reversed(files.items())))
    changed = files | {"norms.csv": files["norms.csv"].replace(b"7", b"8", 1)}
    renamed = {("x.csv" if name == "norms.csv" else name): raw for name, raw in files.items()}
    assert len({before, release_of(changed), release_of(renamed)}) == 3


def test_twenty_faults_in_a_broken_copy_are_told_in_one_go(tmp_path: Path) -> None:
    shutil.copytree(SHIPPED, tmp_path / "data")
    path = tmp_path / "data" / "diagnostic_accuracy.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    for at in range(1, 21):
        lines[at] = lines[at].replace(",read,", ",heard,", 1)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    with pytest.raises(EvidenceFault) as caught:
        load_folder(tmp_path / "data")
    faults = caught.value.faults
    assert [(fault.file, fault.line, fault.message) for fault in faults] == [
        ("diagnostic_accuracy.csv", at + 1, "unknown provenance") for at in range(1, 21)
    ]
    for fault in faults:
        assert lines[fault.line - 1][fault.column - 1 :].startswith("heard,")


def test_the_counts_add_up_and_can_be_written_into_a_page(library: Library, tmp_path: Path) -> None:
    counts = {count.name: count for count in census(library)}
    assert counts["diagnostic_accuracy"].total == len(library.tables["diagnostic_accuracy"].rows)
    assert counts["procedures"].total == len(library.catalogue)
    assert sum(count.figures for count in counts.values()) == len(library.figures)
    page = tmp_path / "page.md"
    page.write_text(f"before\n{START}\nold\n{END}\nafter\n", encoding="utf-8")
    assert main(["evidence", "--counts", str(page)]) == 0
    assert page.read_text(encoding="utf-8") == f"before\n{census_markdown(library)}\nafter\n"
    page.write_text("no place\n", encoding="utf-8")
    assert main(["evidence", "--counts", str(page)]) == 1


def test_the_command_lists_tables_without_words(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    assert main(["evidence"]) == 0
    shown = capsys.readouterr().out
    assert library.release in shown
    assert all(name in shown for name in (*library.tables, *library.documents))


def test_the_command_shows_value_people_source_address_and_label(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["evidence", "neer", "bursitis", "park"]) == 0
    shown = capsys.readouterr().out
    for part in ("sensitivity 0.86", "n 552", "read", "Park 2005", "https://bjsm.bmj.com/", "† recalled"):
        assert part in shown
    assert "\x1b[" not in shown


def test_the_command_shows_a_doubt_beside_the_figure(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["evidence", "me103"]) == 0
    assert "doubt: error 2.0 and 90 % detectable change 7.0 contradict each other" in capsys.readouterr().out


def test_one_figure_in_full_and_as_json(capsys: pytest.CaptureFixture[str], library: Library) -> None:
    assert main(["evidence", "--id", "measurement_error.me103.sem"]) == 0
    assert "†2 deg (memory, Hall 2010)" in capsys.readouterr().out
    assert main(["evidence", "--id", "diagnostic_accuracy.da001.sensitivity", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["value"], found["provenance"], found["release"]) == (0.86, "read", library.release)
    assert main(["evidence", "--id", "nothing.at.all"]) == 3
    assert main(["evidence", "--topic", "cooking"]) == 1
    assert "diagnosis" in capsys.readouterr().err


def test_a_search_as_json_is_one_object_with_source_and_label_on_every_figure(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["evidence", "empty", "can", "--json", "--limit", "2"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["shown"] == 2 < found["rows"]
    assert found["figures"]
    assert all(one["citation"] and one["provenance"] and one["cited"] for one in found["figures"])


def test_a_search_that_finds_nothing_says_what_may_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["evidence", "zeppelin"]) == 1
    assert "fewer or shorter words may help" in capsys.readouterr().err


def test_the_check_prints_counts_by_label_and_says_that_all_is_well(
    capsys: pytest.CaptureFixture[str], library: Library
) -> None:
    assert main(["evidence", "--check"]) == 0
    shown = capsys.readouterr()
    header, *rows, verdict = shown.out.splitlines()
    assert header.split()[:5] == ["file", "what", "read", "memory", "practice"]
    assert rows[-1].startswith("all")
    assert verdict == f"Evidence release {library.release}: no fault in any data file"
    assert shown.err == ""


def test_the_check_of_a_broken_copy_prints_every_fault_and_fails(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    shutil.copytree(SHIPPED, tmp_path / "data")
    path = tmp_path / "data" / "prevalence.csv"
    path.write_text(
        path.read_text(encoding="utf-8").replace("0.85", "8.5", 1).replace(",n,", ",people,", 1), encoding="utf-8"
    )
    assert main(["evidence", "--check", "--folder", str(tmp_path / "data")]) == 1
    shown = capsys.readouterr()
    lines = shown.err.splitlines()
    assert f"{len(lines)} faults" in shown.out
    for part in (
        "prevalence.csv:2:46: proportion out of bounds (read: '8.5')",
        "unknown column (read: 'people')",
        "a column 'n'",
    ):
        assert part in shown.err
    assert main(["evidence", "--check", "--json", "--folder", str(tmp_path / "data")]) == 1
    assert len(json.loads(capsys.readouterr().out)["faults"]) == len(lines)
