"""A program killed at any moment: what was acknowledged is there, once; what was begun is there whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench.kill import kill_writers

KILLS = 10


def test_after_ten_kills_every_acknowledged_finding_is_there_once_and_no_case_is_half_there(store_address: str) -> None:
    told = kill_writers(store_address, KILLS)
    assert told.acknowledged
    assert told.cases
    assert told.is_whole, told


def test_an_encrypted_store_survives_alike(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("ENDFEEL_UNENCRYPTED")
    monkeypatch.setenv("ENDFEEL_PASSPHRASE", "four plain words suffice")
    told = kill_writers(str(tmp_path / "records.sqlite"), 4)
    assert told.is_whole, told
