"""Files made by others are listed with version, hash and licence, and are what the list says."""

from __future__ import annotations

import hashlib
import tomllib
from pathlib import Path

import endfeel.web

VENDOR = Path(endfeel.web.__file__).parent / "static" / "vendor"


def listed() -> list[dict[str, str]]:
    files: list[dict[str, str]] = tomllib.loads((VENDOR / "manifest.toml").read_text(encoding="utf-8"))["file"]
    return files


def test_every_vendored_file_has_the_hash_the_list_gives() -> None:
    for one in listed():
        assert hashlib.sha256((VENDOR / one["name"]).read_bytes()).hexdigest() == one["sha256"], one["name"]
        assert one["version"]
        assert one["licence"]


def test_nothing_lies_there_unlisted() -> None:
    known = {"manifest.toml"} | {one["name"] for one in listed()} | {one["licence_file"] for one in listed()}
    assert {file.name for file in VENDOR.iterdir()} == known
