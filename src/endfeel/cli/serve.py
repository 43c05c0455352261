"""`endfeel serve`: the pages, on this machine only by default."""

from __future__ import annotations

import argparse
import gc
import sys
import threading
import webbrowser
from contextlib import nullcontext

from endfeel.cli.class_listener import CLASS_PORT, ClassWish, class_listening
from endfeel.cli.daily_backups import daily_backups
from endfeel.cli.passphrase import AtTerminal
from endfeel.cli.phone_listener import OWN, PHONE_PORT, PhoneWish, listen, phone_listening

HOST, PORT = "127.0.0.1", 8710
LOOPBACK = ("127.0.0.1", "localhost", "::1")


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--host", default=HOST, help=f"address to listen on (default {HOST}, this machine only)")
    parser.add_argument("--port", type=int, default=PORT, help=f"port (default {PORT})")
    parser.add_argument("--store", help="database address or SQLite file (default: your own store)")
    parser.add_argument("--unencrypted", action="store_true", help="do not encrypt a store that is made now")
    parser.add_argument("--open", action="store_true", help="open the browser")
    parser.add_argument(
        "--phone",
        nargs="?",
        const=OWN,
        metavar="ADDRESS",
        help="let a phone in as angle sensor, at this address of this machine (default: the one in the local network)",
    )
    parser.add_argument("--phone-port", type=int, default=PHONE_PORT, help=f"port for the phone (default {PHONE_PORT})")
    parser.add_argument(
        "--class",
        dest="class_address",
        nargs="?",
        const=OWN,
        metavar="ADDRESS",
        help="let learners of a class in, to their pages alone, here (default: the address in the local network)",
    )
    parser.add_argument("--class-port", type=int, default=CLASS_PORT, help=f"port for learners (default {CLASS_PORT})")
    parser.add_argument("--certificate", help="certificate for the phone's address (default: one made here)")
    parser.add_argument("--key", help="key of that certificate")


def run(options: argparse.Namespace) -> int:
    """Serve until Ctrl-C."""
    phone = None
    if options.phone:
        phone = PhoneWish(options.phone, options.phone_port, options.certificate, options.key)
    return serve_store(
        options.store,
        options.host,
        options.port,
        open_browser=options.open,
        phone=phone,
        learners=ClassWish(options.class_address, options.class_port) if options.class_address else None,
        unencrypted=options.unencrypted,
    )


def serve_store(
    store: str | None,
    host: str = HOST,
    port: int = PORT,
    *,
    open_browser: bool = False,
    phone: PhoneWish | None = None,
    learners: ClassWish | None = None,
    unencrypted: bool = False,
) -> int:
    """Serve the pages of a store until Ctrl-C. Raises Refused when a port is taken or not to be had."""
    import uvicorn

    from endfeel import care
    from endfeel.web.app import LOCAL_HOSTS, make_app

    listening = listen(host, port)
    address = f"http://{f'[{host}]' if ':' in host else host}:{listening.getsockname()[1]}/"
    if host not in LOOPBACK:
        print(f"endfeel: {host} can be reached from other machines; the pages have no login.", file=sys.stderr)
    names = tuple(dict.fromkeys((*LOCAL_HOSTS, host.lower())))
    desk = care.open_desk(store, keeper=AtTerminal(), unencrypted=unencrypted)
    with (
        daily_backups(desk.engine),
        phone_listening(phone, desk.library) if phone else nullcontext() as door,
        class_listening(learners, desk) if learners else nullcontext() as class_door,
    ):
        app = make_app(desk, names, door, class_door)
        print(f"Endfeel is at {address}   (stop with Ctrl-C)", flush=True)
        if door:
            print(f"A phone comes in at {door.address}phone, by the code beside the visit", flush=True)
        if class_door:
            print(f"Learners come in at {class_door.address}join, by the code of their class", flush=True)
        if open_browser:
            threading.Timer(0.5, webbrowser.open, (address,)).start()
        gc.collect()
        gc.freeze()  # what is loaded stays for good: the collector need not walk it again while a page waits
        uvicorn.Server(uvicorn.Config(app, log_level="warning", server_header=False)).run(sockets=[listening])
    return 0
