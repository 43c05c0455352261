"""The third address of `endfeel serve`, for learners of a class: their pages alone, no record behind them."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from endfeel.cli.listening import listen
from endfeel.cli.phone_listener import OWN, own_address

if TYPE_CHECKING:
    from endfeel.care import Desk
    from endfeel.web.class_door import ClassDoor

CLASS_PORT = 8712


@dataclass(frozen=True, slots=True)
class ClassWish:
    """What was asked for: an address of this machine or OWN, and a port."""

    address: str
    port: int = CLASS_PORT


@contextmanager
def class_listening(wish: ClassWish, desk: Desk) -> Iterator[ClassDoor]:
    """Serve learners' pages beside the others, in a thread, until left. Raises Refused when it cannot be had.

    Plain http: nothing of a patient and no password goes over it, but who listens in the network reads along.
    """
    import uvicorn

    from endfeel.web.class_door import ClassDoor, make_class_app

    host = own_address("--class ADDRESS") if wish.address == OWN else wish.address
    listening = listen(host, wish.port, "--class-port")
    shown = f"[{host}]" if ":" in host else host
    app = make_class_app(desk, tuple(dict.fromkeys((host.lower(), shown.lower()))))
    server = uvicorn.Server(uvicorn.Config(app, log_config=None, server_header=False, access_log=False))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, name="class", daemon=True)
    thread.start()
    try:
        yield ClassDoor(f"http://{shown}:{listening.getsockname()[1]}/")
    finally:
        server.should_exit = True
        thread.join(timeout=5)
