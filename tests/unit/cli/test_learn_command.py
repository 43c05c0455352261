"""`endfeel learn`: lines typed, faults said, gone on with by the same code, looked back on, progress."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from endfeel.cli.learn import commitment_of
from endfeel.cli.main import main
from endfeel.safety import Urgency
from endfeel.vocabulary import CannotRead


@pytest.fixture
def learn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> object:
    """Run the command with these lines; exit code, what was said, faults."""

    def run(lines: str, *options: str) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.stdin", io.StringIO(lines))
        done = main(["learn", "--store", str(tmp_path / "r.sqlite"), "--learner", "Ana", *options])
        said = capsys.readouterr()
        return done, said.out, said.err

    return run


def test_a_case_is_gone_on_with_by_its_code_and_looked_back_on(learn: object) -> None:
    assert callable(learn)
    done, said, _ = learn("ask where\ndo gh_post\nquit\n", "--seed", "7", "--danger", "never")
    assert done == 0
    code = said.split("code ")[1][:9]
    assert f"endfeel learn {code}" in said
    done, said, _ = learn("known\ncommit cuff_pain 70, capsule_global 20%; none; load.glenohumeral\n", code)
    assert done == 0
    for word in ("Where do you feel it?", "Posterior glide", "In a minute", "What was there", "bits"):
        assert word in said
    done, said, _ = learn("", "--progress")
    assert "1 closed cases, 2 percentages" in said
    done, said, _ = learn("", code, "--json")
    told = json.loads(said)
    assert told["closed"] is True
    assert len(told["outcome"]["forecasts"]) == 2


def test_what_does_not_do_is_said_and_nothing_is_kept_of_it(learn: object) -> None:
    assert callable(learn)
    done, said, faults = learn("sing\nask weather\ndo nothing\nturn over\nask where\n", "--seed", "8", "--json")
    assert done == 1
    assert len(faults.strip().split("\n")) == 4
    told = json.loads(said)
    assert [one["words"] for one in told["steps"]] == ["Where do you feel it?"]
    assert told["outcome"] is None
    assert learn("", "AAAA-AAAA")[0] == 1


def test_a_commitment_is_read() -> None:
    told = commitment_of("cuff_pain 70, segment_stiffness.T5 20 ; same_day ; send_on")
    assert [(one.contributor, one.percent) for one in told.ranking] == [("cuff_pain", 70), ("segment_stiffness.T5", 20)]
    assert (told.safety, told.treatment) == (Urgency.SAME_DAY, "send_on")
    for wrong in ("", "cuff_pain 70; soon; advice", "cuff_pain much; none; advice"):
        with pytest.raises(CannotRead):
            commitment_of(wrong)
