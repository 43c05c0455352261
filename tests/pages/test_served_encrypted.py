"""`endfeel serve` with a certificate, lines about requests and counts for a monitor: as a clinic would start it."""

from __future__ import annotations

import json
import ssl
import subprocess
import sys
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import trustme

from endfeel.cli.main import main

LABEL = "Wilhelmina Unverwechselbar"


@dataclass
class Served:
    """A program that serves, where, and what it wrote when it has stopped."""

    address: str
    counts: str
    trusting: ssl.SSLContext
    program: subprocess.Popen[str]

    def ask(self, path: str, data: dict[str, str] | None = None, **headers: str) -> tuple[int, dict[str, str], str]:
        body = urllib.parse.urlencode(data).encode() if data is not None else None
        asked = urllib.request.Request(self.address + path, body, headers)  # noqa: S310 (our own loopback)
        try:
            with urllib.request.urlopen(asked, timeout=20, context=self.trusting) as answer:  # noqa: S310
                return answer.status, dict(answer.headers), answer.read().decode()
        except urllib.error.HTTPError as error:
            return error.code, dict(error.headers), error.read().decode()

    def stop(self) -> list[str]:
        """Stop it; the lines it wrote about its work."""
        self.program.send_signal(2)
        told = self.program.communicate(timeout=30)[1]
        return told.splitlines()


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, ssl.SSLContext]:
    """A certificate for this machine, its key, and whoever trusts it."""
    folder = tmp_path_factory.mktemp("certificate")
    authority = trustme.CA()
    made = authority.issue_cert("127.0.0.1", "records.example")
    made.cert_chain_pems[0].write_to_path(folder / "certificate.pem")
    made.private_key_pem.write_to_path(folder / "key.pem")
    trusting = ssl.create_default_context()
    authority.configure_trust(trusting)
    return folder / "certificate.pem", folder / "key.pem", trusting


@pytest.fixture
def served(tmp_path: Path, certificate: tuple[Path, Path, ssl.SSLContext]) -> Iterator[Served]:
    file, key, trusting = certificate
    command = [
        sys.executable, "-m", "endfeel.cli.main", "serve", "--port", "0", "--store", str(tmp_path / "s.sqlite"),
        "--certificate", str(file), "--key", str(key), "--name", "records.example", "--log", "json", "--metrics", "0",
    ]  # fmt: skip
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        counts = program.stdout.readline().split()[-1]
        address = program.stdout.readline().split()[3]
        try:
            yield Served(address, counts, trusting, program)
        finally:
            program.kill()


def test_pages_speak_https_and_nothing_about_anybody_is_told_or_counted(served: Served) -> None:
    assert served.address.startswith("https://127.0.0.1:")
    status, headers, _ = served.ask("")
    assert status == 200
    assert headers["strict-transport-security"].startswith("max-age=")
    assert served.ask("", Host="records.example")[0] == 200
    assert served.ask("", Host="elsewhere.example")[0] == 400

    plain = served.address.replace("https://", "http://")
    with pytest.raises((urllib.error.URLError, ConnectionError)):
        urllib.request.urlopen(plain, timeout=20)  # noqa: S310
    nobody_trusts = ssl.create_default_context()
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        urllib.request.urlopen(served.address, timeout=20, context=nobody_trusts)  # noqa: S310
    served.trusting.maximum_version = ssl.TLSVersion.TLSv1_2
    assert served.ask("")[0] == 200
    served.trusting.maximum_version = ssl.TLSVersion.MAXIMUM_SUPPORTED

    origin = served.address.rstrip("/")
    status, _, html = served.ask("people", {"label": LABEL, "side": "right", "story": "since a fall"}, Origin=origin)
    assert status == 200
    assert LABEL in html
    assert served.ask("people", {"label": LABEL}, Origin=origin.replace("https", "http"))[0] == 403
    assert served.ask(f"?q={LABEL.split()[0]}")[0] == 200
    assert json.loads(served.ask("health")[2]) == {"status": "alive"}
    assert json.loads(served.ask("ready")[2])["status"] == "ready"
    assert served.ask("metrics")[0] == 404

    with urllib.request.urlopen(served.counts, timeout=20) as answer:  # noqa: S310
        counted = answer.read().decode()
    assert 'endfeel_answer_seconds_count{method="GET",route="/ready",status="200"} 1.0' in counted
    assert 'endfeel_refused_total{why="foreign name"} 1.0' in counted
    assert LABEL.split()[0] not in counted

    lines = [json.loads(line) for line in served.stop()]
    assert {"/", "/people", "/health", "/ready", "no such page"} <= {one.get("route") for one in lines}
    assert {"status", "ms", "request", "method"} <= set(lines[0])
    told = json.dumps(lines)
    assert "127.0.0.1" not in told
    assert "Wilhelmina" not in told


@pytest.mark.parametrize("given", [("certificate.pem", None), (None, "key.pem"), ("key.pem", "certificate.pem"),
                                   ("no.pem", "no.pem")])  # fmt: skip
def test_a_certificate_that_does_not_fit_is_refused_before_anything_is_opened(
    given: tuple[str | None, str | None],
    certificate: tuple[Path, Path, ssl.SSLContext],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    named = [(option, str(certificate[0].with_name(name))) for option, name in zip(("--certificate", "--key"), given,
             strict=True) if name]  # fmt: skip
    words = [word for pair in named for word in pair]
    assert main(["serve", "--port", "0", "--store", str(tmp_path / "s.sqlite"), *words]) == 3
    assert "certificate" in capsys.readouterr().err
    assert not (tmp_path / "s.sqlite").exists()


def test_a_key_with_a_password_is_refused_instead_of_asking_where_nobody_sits(
    certificate: tuple[Path, Path, ssl.SSLContext], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from cryptography.hazmat.primitives import serialization

    key = serialization.load_pem_private_key(certificate[1].read_bytes(), None)
    locked = tmp_path / "locked.pem"
    locked.write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.BestAvailableEncryption(b"words"),
        )
    )
    words = ["--certificate", str(certificate[0]), "--key", str(locked)]
    assert main(["serve", "--port", "0", "--store", str(tmp_path / "s.sqlite"), *words]) == 3
    assert "without a password" in capsys.readouterr().err


@pytest.mark.parametrize("place", ["here", "99999", ":"])
def test_a_place_for_counts_that_cannot_be_is_refused(
    place: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["serve", "--port", "0", "--store", str(tmp_path / "s.sqlite"), "--metrics", place]) == 3
    assert "9710 would do" in capsys.readouterr().err
