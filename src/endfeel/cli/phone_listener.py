"""The second address of `endfeel serve`, for a phone alone: plain on this machine, https in the network."""

from __future__ import annotations

import os
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from endfeel.cli.listening import LOOPBACK, listen, secured_by
from endfeel.vocabulary import Refused

if TYPE_CHECKING:
    from endfeel.evidence.library import Library
    from endfeel.web.phone_door import PhoneDoor

PHONE_PORT = 8711
OWN = "own"
"""Stands for the address of this machine in the local network."""
DAYS = 365
"""How long a certificate made here is good; a new one is made in its last month."""


@dataclass(frozen=True, slots=True)
class PhoneWish:
    """What was asked for: an address of this machine or OWN, a port, and a certificate with its key, or neither."""

    address: str
    port: int = PHONE_PORT
    certificate: str | None = None
    key: str | None = None


@contextmanager
def phone_listening(wish: PhoneWish, library: Library) -> Iterator[PhoneDoor]:
    """Serve the phone's page beside the others, in its own thread, until left. Raises Refused when it cannot be had."""
    import uvicorn

    from endfeel.web.pairing import Pairings
    from endfeel.web.phone_door import PhoneDoor, hold_rule, make_phone_app

    host = own_address() if wish.address == OWN else wish.address
    secured = _secured(wish, host)
    listening = listen(host, wish.port, "--phone-port")
    port = listening.getsockname()[1]
    shown = f"[{host}]" if ":" in host else host
    pairings = Pairings(hold_rule(library))
    app = make_phone_app(pairings, tuple(dict.fromkeys((host.lower(), shown.lower()))))
    config = uvicorn.Config(app, log_config=None, server_header=False, access_log=False, **secured)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, name="phone", daemon=True)
    thread.start()
    try:
        yield PhoneDoor(f"{'https' if secured else 'http'}://{shown}:{port}/", pairings)
    finally:
        server.should_exit = True
        thread.join(timeout=5)


def own_address(option: str = "--phone ADDRESS") -> str:
    """The address of this machine in the local network. Nothing is sent to find it. Raises Refused without one."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("192.0.2.1", 9))  # an address of no one (RFC 5737): only the way there is looked up
            found = str(asking.getsockname()[0])
        except OSError:
            found = ""
    if not found or found.startswith(("127.", "0.")):
        raise Refused(f"this machine is in no network; join the one of the others, or name the address: {option}")
    return found


def _secured(wish: PhoneWish, host: str) -> dict[str, Any]:
    """What the server needs to speak https: nothing on this machine alone, where browsers trust it without."""
    given = secured_by(wish.certificate, wish.key, "--phone-")
    if given or host in LOOPBACK:
        return given
    certificate, key = own_certificate(host)
    return {"ssl_certfile": str(certificate), "ssl_keyfile": str(key)}


def own_certificate(host: str, folder: Path | None = None, now: float | None = None) -> tuple[Path, Path]:
    """A certificate for this address and its key, made here and kept, so that a phone needs to accept it once."""
    base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    folder = folder or base / "endfeel" / "phone"
    name = "".join(letter if letter.isalnum() else "-" for letter in host)
    certificate, key = folder / f"{name}.certificate.pem", folder / f"{name}.key.pem"
    moment = time.time() if now is None else now
    if certificate.is_file() and key.is_file() and moment - certificate.stat().st_mtime < (DAYS - 30) * 86400:
        return certificate, key
    try:
        import trustme
    except ModuleNotFoundError as error:
        raise Refused(
            "phones give their sensor away over https only, and a certificate for that needs one more package: "
            "pip install 'endfeel[phone]'; or bring your own: --phone-certificate FILE --phone-key FILE"
        ) from error
    until = datetime.fromtimestamp(moment, UTC) + timedelta(days=DAYS)
    unit = "made on this machine"
    made = trustme.CA(organization_name="Endfeel", organization_unit_name=unit).issue_cert(
        host, organization_name="Endfeel", organization_unit_name=unit, not_after=until
    )
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    for file, pieces in ((certificate, made.cert_chain_pems), (key, [made.private_key_pem])):
        descriptor = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "wb") as out:
            out.write(b"".join(piece.bytes() for piece in pieces))
    return certificate, key
