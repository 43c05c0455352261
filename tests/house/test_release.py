"""A release is verified against the signer; any change, loss or addition is found."""

from __future__ import annotations

import importlib.util
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]


def loaded() -> Any:
    spec = importlib.util.spec_from_file_location("release", ROOT / "scripts" / "release.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


release = loaded()


@pytest.fixture(scope="module")
def keys(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Two signers' keys, and the file of signers that names the first."""
    folder = tmp_path_factory.mktemp("keys")
    for name in ("ours", "other"):
        subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(folder / name)], check=True)
    public = (folder / "ours.pub").read_text(encoding="ascii")
    (folder / "signers").write_text(f"releaser@example.org {public}", encoding="ascii")
    return {name: folder / name for name in ("ours", "other", "signers")}


@pytest.fixture
def dist(tmp_path: Path, keys: dict[str, Path]) -> Path:
    """A signed release of two files."""
    made = tmp_path / "dist"
    made.mkdir()
    (made / "endfeel-0.whl").write_bytes(b"wheel")
    (made / "parts.cdx.json").write_bytes(b"{}")
    release.write_sums(made)
    release.sign(made, keys["ours"])
    return made


CHANGES: dict[str, Callable[[Path], object]] = {
    "another file": lambda dist: (dist / "endfeel-0.whl").write_bytes(b"whee1"),
    "a file more": lambda dist: (dist / "more.whl").write_bytes(b"wheel"),
    "a file less": lambda dist: (dist / "parts.cdx.json").unlink(),
    "sums made anew": lambda dist: ((dist / "endfeel-0.whl").write_bytes(b"whee1"), release.write_sums(dist)),
    "no signature": lambda dist: (dist / "SHA256SUMS.sig").unlink(),
    "no sums": lambda dist: (dist / "SHA256SUMS").unlink(),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_release_is_verified_and_any_change_is_found(dist: Path, keys: dict[str, Path], change: str) -> None:
    release.verify(dist, keys["signers"], "releaser@example.org")
    CHANGES[change](dist)
    with pytest.raises(release.NotVerified):
        release.verify(dist, keys["signers"], "releaser@example.org")


def test_another_key_or_another_name_is_not_the_releaser(dist: Path, keys: dict[str, Path]) -> None:
    with pytest.raises(release.NotVerified, match="not signed by somebody@example"):
        release.verify(dist, keys["signers"], "somebody@example.org")
    release.sign(dist, keys["other"])
    with pytest.raises(release.NotVerified, match="not signed by releaser"):
        release.verify(dist, keys["signers"], "releaser@example.org")
