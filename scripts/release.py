"""A release that others can check: `make release KEY=~/.ssh/id_ed25519 WHO=me@example.org`, `make verify SIGNERS=file`.

Into dist/: the wheel, the parts it is made of (CycloneDX, from the pins), the pins themselves, SHA256SUMS over all of
them, and SHA256SUMS.sig: OpenSSH's signature of that list, made with a key the releaser names. Verifying needs the file
of signers (a line `WHO ssh-ed25519 AAAA…`), got by another road than the release.
"""

from __future__ import annotations

import argparse
import hashlib
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PINS, PARTS, SUMS, SIGNATURE, SPACE = "requirements.lock", "parts.cdx.json", "SHA256SUMS", "SHA256SUMS.sig", "endfeel"


class NotVerified(Exception):  # noqa: N818 (says what was found)
    """The release is not as it was signed."""


def main() -> int:
    """0 when made or verified."""
    parser = argparse.ArgumentParser(description=__doc__)
    acts = parser.add_subparsers(dest="act", required=True)
    for name in ("make", "sign", "verify"):
        one = acts.add_parser(name)
        one.add_argument("--dist", type=Path, default=ROOT / "dist")
        if name != "make":
            one.add_argument("--who", required=name == "verify", help="the signer, as the file of signers names them")
        if name == "sign":
            one.add_argument("--key", type=Path, required=True, help="private OpenSSH key of the releaser")
        if name == "verify":
            one.add_argument("--signers", type=Path, required=True)
    options = parser.parse_args()
    try:
        if options.act == "make":
            make(options.dist)
        elif options.act == "sign":
            sign(options.dist, options.key)
        else:
            verify(options.dist, options.signers, options.who)
            print(f"Every file in {options.dist} is as {options.who} signed it.")
    except NotVerified as error:
        print(f"Not verified: {error}", file=sys.stderr)
        return 1
    return 0


def make(dist: Path) -> None:
    """Build wheel and list of parts into an empty folder."""
    for old in (dist, ROOT / "build"):
        shutil.rmtree(old, ignore_errors=True)
    dist.mkdir()
    python = sys.executable
    # the build tools are pinned and installed already: nothing is fetched while building
    run(python, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(dist), str(ROOT))
    run(python, "-m", "cyclonedx_py", "requirements", str(ROOT / PINS), "--pyproject", str(ROOT / "pyproject.toml"),
        "--output-reproducible", "--of", "JSON", "-o", str(dist / PARTS))  # fmt: skip
    shutil.copyfile(ROOT / PINS, dist / PINS)
    write_sums(dist)


def write_sums(dist: Path) -> None:
    """The checksum of every file, one a line, as `sha256sum --check` reads it."""
    files = sorted(path for path in dist.iterdir() if path.name not in (SUMS, SIGNATURE))
    lines = [f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.name}\n" for path in files]
    (dist / SUMS).write_text("".join(lines), encoding="ascii")


def sign(dist: Path, key: Path) -> None:
    """Sign the checksums. Asks for the key's password where it has one."""
    (dist / SIGNATURE).unlink(missing_ok=True)
    run("ssh-keygen", "-Y", "sign", "-n", SPACE, "-f", str(key), str(dist / SUMS))


def verify(dist: Path, signers: Path, who: str) -> None:
    """Raises NotVerified unless the list was signed by `who` and every file is as the list says, none more, none
    less."""
    try:
        listed = (dist / SUMS).read_bytes()
        told = subprocess.run(  # noqa: S603
            ["ssh-keygen", "-Y", "verify", "-n", SPACE, "-f", str(signers), "-I", who, "-s", str(dist / SIGNATURE)],  # noqa: S607
            input=listed, capture_output=True, check=False,
        )  # fmt: skip
    except OSError as error:
        raise NotVerified(f"{error.filename or 'ssh-keygen'}: {error.strerror}") from error
    if told.returncode:
        said = (told.stderr or told.stdout).decode(errors="replace").strip()
        raise NotVerified(f"the list of checksums is not signed by {who} ({said})")
    wanted = dict(reversed(line.split("  ", 1)) for line in listed.decode("ascii").splitlines())
    there = {path.name for path in dist.iterdir()} - {SUMS, SIGNATURE}
    for name in sorted(there ^ set(wanted)):
        raise NotVerified(f"{name} is {'not in the list' if name in there else 'missing'}")
    for name, sum_ in wanted.items():
        if hashlib.sha256((dist / name).read_bytes()).hexdigest() != sum_:
            raise NotVerified(f"{name} is not the file that was signed")


def run(*words: str) -> None:
    """A command that must succeed."""
    subprocess.run(words, check=True, cwd=ROOT)  # noqa: S603


if __name__ == "__main__":
    sys.exit(main())
