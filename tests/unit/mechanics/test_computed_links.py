"""Links from the drawn population: the same people with and without a contributor."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from endfeel.cli.links import COLUMNS, inputs_key, write
from endfeel.cli.main import main
from endfeel.evidence.library import Library
from endfeel.mechanics.links import add_blocks, changes_of, examine_block, hand_tests, links_from, usual_shares
from endfeel.mechanics.parameters import read_parameters

pytestmark = pytest.mark.xdist_group("computed_links")
"""One process draws the people once."""

PEOPLE = 12


@pytest.fixture(scope="module")
def found(library: Library):  # type: ignore[no-untyped-def]
    one, two = examine_block(library, 3, PEOPLE), examine_block(library, 4, PEOPLE)
    return {
        (link.contributor, link.procedure, link.outcome): link
        for link in links_from(add_blocks((one, two)), library, read_parameters(library))
    }


def test_every_test_and_every_changed_structure_names_something_known(library: Library) -> None:
    contributors = {entry["id"] for entry in library.documents["contributors"]["contributor"]}
    assert changes_of(library).keys() <= contributors
    assert all(test.procedure in library.catalogue for test in hand_tests(library))


def test_a_contracted_capsule_takes_degrees_in_every_direction_and_most_of_lateral_rotation(found) -> None:  # type: ignore[no-untyped-def]
    lost = {p: found["capsule_global", p, "deficit"].effect_deg for p in ("gh_er_0", "gh_ir_90", "gh_flex", "gh_abd")}
    assert min(lost.values()) > 3.0
    assert lost["gh_er_0"] == max(lost.values())


def test_a_slack_capsule_gives_degrees_back(found) -> None:  # type: ignore[no-untyped-def]
    assert found["multidirectional_laxity", "gh_er_0", "deficit"].effect_deg < -5.0
    assert found["multidirectional_laxity", "cl_abd_lat", "hyper"].present > 0.3


def test_a_posterior_region_is_felt_in_inward_stress_and_not_in_outward_stress(found) -> None:  # type: ignore[no-untyped-def]
    """Of the hanging arm; of the raised one pouch and cuff stop the turn first (docs/mechanics.md)."""
    stiff = found["capsule_posterior_middle", "cl_neutral_med", "hypo"]
    free = found["capsule_posterior_middle", "cl_neutral_lat", "hypo"]
    assert stiff.present > stiff.absent + 0.2
    assert free.present < free.absent + 0.1


def test_where_nothing_changes_the_hand_says_what_it_says_of_a_healthy_side(found, library: Library) -> None:  # type: ignore[no-untyped-def]
    stiff, slack = usual_shares(read_parameters(library))
    none = found["subscapularis_short", "gh_ir_90", "deficit"]
    assert none.effect_deg == pytest.approx(0.0, abs=0.5)
    assert found["capsule_posterior_upper", "cl_abd_lat", "hypo"].present == pytest.approx(stiff, abs=0.05)
    assert 0.05 < stiff < 0.25
    assert 0.05 < slack < 0.25


def test_a_healthy_glide_that_slips_over_the_rim_makes_no_link_and_one_that_stays_does(found, library: Library) -> None:  # type: ignore[no-untyped-def]
    """Under the 60 N of a hand the model's head leaves the socket in the middle of the range (docs/mechanics.md)."""
    least = next(
        float(entry["value"])
        for entry in library.documents["inference"]["parameter"]
        if entry["id"] == "least_converged_share"
    )
    for procedure in ("gh_post", "gh_ant", "gh_inf", "load_shift_ant"):
        link = found.get(("capsule_global", procedure, "hypo"))
        assert link is None or link.converged_share < least
    assert found["capsule_global", "gh_distraction", "hypo"].converged_share >= least
    assert found["ac_sprain", "ac_post", "hyper"].converged_share >= least


def test_blocks_add_up_in_any_order_and_the_same_seed_gives_the_same_people(library: Library) -> None:
    one, two = examine_block(library, 5, 4), examine_block(library, 6, 4)
    assert add_blocks((one, two)).keys() == add_blocks((two, one)).keys()
    for place, sums in add_blocks((one, two)).items():
        other = add_blocks((two, one))[place]
        assert (sums.people, sums.converged) == (other.people, other.converged)
        assert sums.first == pytest.approx(other.first, abs=1e-9)
    again = examine_block(library, 5, 4)
    assert all(again[place].first == sums.first for place, sums in one.items())


def test_the_kept_table_was_computed_from_the_inputs_as_they_are(library: Library) -> None:
    assert {row.text["inputs"] for row in library.tables["computed_links"]} == {inputs_key(library)}


def test_the_kept_table_agrees_with_a_small_population_computed_now(found, library: Library) -> None:  # type: ignore[no-untyped-def]
    """Guards against a change of the program that the inputs do not show."""
    away = []
    for row in library.tables["computed_links"]:
        text = row.text
        link = found.get((text["contributor"], text["procedure"], text["outcome"]))
        if link is None or text["outcome"] != "deficit" or float(text["converged_share"]) < 0.8:
            continue
        unsure = max(2.0, float(text["effect_sd_deg"])) / np.sqrt(2 * PEOPLE)
        away.append((link.effect_deg - float(text["effect_deg"])) / unsure)
    assert len(away) > 60
    assert float(np.mean(np.abs(away) < 4.0)) > 0.95


def test_the_table_is_written_whole_with_its_inputs(tmp_path: Path, found) -> None:  # type: ignore[no-untyped-def]
    place = tmp_path / "links.csv"
    write(tuple(found.values()), place, "abc")
    with place.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == COLUMNS
    assert {row["inputs"] for row in rows} == {"abc"}
    assert len(rows) == len(found)


def test_a_scheduler_that_does_not_answer_is_refused_with_its_address(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["links", "--people", "1", "--scheduler", "tcp://127.0.0.1:9"]) == 3
    assert "127.0.0.1:9" in capsys.readouterr().err
    assert main(["links", "--people", "1", "--scheduler", "nonsense"]) == 3
    assert "no scheduler answers at 'nonsense'" in capsys.readouterr().err


@pytest.mark.parametrize("option", ["--people", "--workers"])
def test_no_people_or_no_workers_is_refused(option: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["links", option, "0"]) == 1
    assert option in capsys.readouterr().err


def test_workers_of_a_scheduler_compute_the_same_table_to_the_last_digit(scheduler: str, tmp_path: Path) -> None:
    here, there = tmp_path / "here.csv", tmp_path / "there.csv"
    assert main(["links", "--people", "3", "--to", str(there), "--scheduler", scheduler]) == 0
    assert main(["links", "--people", "3", "--workers", "1", "--to", str(here)]) == 0
    assert here.read_bytes() == there.read_bytes()


def test_a_travel_that_is_none_makes_no_ratio(library: Library) -> None:
    from endfeel.mechanics.links import _felt

    whole, ill = np.array([-1.0, 10.0, 12.0, 0.0]), np.array([-2.0, 5.0, 12.0, 1.0])
    sums = _felt(whole, ill, np.ones(4, dtype=bool), read_parameters(library))
    assert (sums.people, sums.converged) == (4, 2)
    assert np.isfinite(sums.first)
    none = _felt(-whole, ill, np.ones(4, dtype=bool), read_parameters(library))
    assert none.converged == 0
