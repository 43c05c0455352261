"""An address to listen on, and what it takes to speak https there."""

from __future__ import annotations

import socket
import ssl
from typing import Any

from endfeel.vocabulary import Refused

LOOPBACK = ("127.0.0.1", "localhost", "::1")
OTHER_PORT = 8710


def listen_together(host: str, port: int, number: int) -> list[socket.socket]:
    """So many sockets on one address, among which the kernel shares out who comes. The port is nobody else's."""
    with listen(host, port) as alone:
        port = alone.getsockname()[1]
    return [listen(host, port, shared=True) for _ in range(number)]


def listen(host: str, port: int, option: str = "--port", *, shared: bool = False) -> socket.socket:
    """A socket on this address, bound at once so that a taken port is told before anything is opened."""
    if not 0 <= port <= 65535:
        raise Refused(f"there is no port {port}; 1024 to 65535 would do")
    listening = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if shared:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        listening.bind((host, port))
        listening.listen(128)
    except OSError as error:
        listening.close()
        raise Refused(
            f"cannot listen on {host} port {port} ({error.strerror or error}); is Endfeel running already? "
            f"Try {option} {port + 1 if port < 65535 else OTHER_PORT}"
        ) from error
    return listening


def secured_by(certificate: str | None, key: str | None, options: str = "--") -> dict[str, Any]:
    """What the server needs to speak https with these files, nothing without. Raises Refused when they do not fit."""
    if bool(certificate) != bool(key):
        raise Refused(f"a certificate and its key go together: {options}certificate FILE {options}key FILE")
    if not certificate or not key:
        return {}
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(certificate, key, password=_no_password)
    except (OSError, ValueError) as error:  # ssl.SSLError is an OSError
        raise Refused(
            f"cannot use the certificate {certificate} with the key {key}: "
            f"{getattr(error, 'strerror', None) or error}; both are files in PEM form, the key without a password"
        ) from error
    return {"ssl_certfile": certificate, "ssl_keyfile": key}


def _no_password() -> str:
    raise ValueError("the key has a password")
