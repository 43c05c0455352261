"""`endfeel serve`: the pages, on this machine only by default."""

from __future__ import annotations

import argparse
import gc
import sys
import threading
import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from endfeel.cli.class_listener import CLASS_PORT, ClassWish, class_listening
from endfeel.cli.daily_backups import daily_backups
from endfeel.cli.listening import LOOPBACK, listen, secured_by
from endfeel.cli.passphrase import AtTerminal
from endfeel.cli.phone_listener import OWN, PHONE_PORT, PhoneWish, phone_listening
from endfeel.vocabulary import Refused

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from endfeel.web.watch import Counts

HOST, PORT = "127.0.0.1", 8710
MOST_AT_ONCE = 1000
"""Connections and requests held at once; what comes on top is told to come again."""
LONGEST_MESSAGE = 65_536
"""Bytes of one message of sound."""


@dataclass(frozen=True, slots=True)
class Outward:
    """How the pages are reached and watched: names and https, the limit of one address, lines, counts."""

    names: tuple[str, ...] = ()
    certificate: str | None = None
    key: str | None = None
    a_minute: int | None = None
    log: str | None = None
    metrics: str | None = None


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
    parser.add_argument("--phone-certificate", metavar="FILE", help="its certificate (default: one made here)")
    parser.add_argument("--phone-key", metavar="FILE", help="key of that certificate")
    parser.add_argument("--certificate", metavar="FILE", help="certificate of the pages: they speak https then")
    parser.add_argument("--key", metavar="FILE", help="key of that certificate, without a password")
    parser.add_argument(
        "--name", action="append", default=[], help="a name under which the pages are asked for (may be given again)"
    )
    parser.add_argument(
        "--rate", type=int, metavar="N", help="requests one other machine has in a minute (default 1200; 0: no limit)"
    )
    parser.add_argument("--log", choices=("text", "json"), help="a line a request on standard error, about nobody")
    parser.add_argument(
        "--metrics", metavar="[HOST:]PORT", help="counts for a monitor, at this port of this machine, about nobody"
    )


def run(options: argparse.Namespace) -> int:
    """Serve until Ctrl-C."""
    phone = None
    if options.phone:
        phone = PhoneWish(options.phone, options.phone_port, options.phone_certificate, options.phone_key)
    return serve_store(
        options.store,
        options.host,
        options.port,
        open_browser=options.open,
        phone=phone,
        learners=ClassWish(options.class_address, options.class_port) if options.class_address else None,
        unencrypted=options.unencrypted,
        outward=Outward(
            tuple(options.name), options.certificate, options.key, options.rate, options.log, options.metrics
        ),
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
    outward: Outward = Outward(),
) -> int:
    """Serve the pages of a store until Ctrl-C. Raises Refused when a port is taken or not to be had, or the certificate
    does not fit."""
    import uvicorn

    from endfeel import care
    from endfeel.web import journal
    from endfeel.web.app import LOCAL_HOSTS, make_app
    from endfeel.web.rates import USUAL

    secured, counting = secured_by(outward.certificate, outward.key), _counting_place(outward.metrics)
    listening = listen(host, port)
    scheme = "https" if secured else "http"
    address = f"{scheme}://{f'[{host}]' if ':' in host else host}:{listening.getsockname()[1]}/"
    names = tuple(dict.fromkeys((*LOCAL_HOSTS, host.lower(), *(name.lower() for name in outward.names))))
    desk = care.open_desk(store, keeper=AtTerminal(), unencrypted=unencrypted)
    journal.configure(journal.Form(outward.log) if outward.log else None)
    if host not in LOOPBACK and not care.clinic_is_on(desk):
        told = f"endfeel: {host} can be reached from other machines; nobody is asked to sign in (endfeel staff add)."
        print(told, file=sys.stderr)
    with (
        phone_listening(phone, desk.library) if phone else nullcontext() as door,
        class_listening(learners, desk) if learners else nullcontext() as class_door,
    ):
        app = make_app(desk, names, door, class_door, USUAL if outward.a_minute is None else outward.a_minute)
        with daily_backups(desk.engine, app.state.backups), _counted(counting, app.state.counts, desk.engine):
            print(f"Endfeel is at {address}   (stop with Ctrl-C)", flush=True)
            if door:
                print(f"A phone comes in at {door.address}phone, by the code beside the visit", flush=True)
            if class_door:
                print(f"Learners come in at {class_door.address}join, by the code of their class", flush=True)
            if open_browser:
                threading.Timer(0.5, webbrowser.open, (address,)).start()
            config = uvicorn.Config(
                app,
                log_config=None,
                access_log=False,
                server_header=False,
                limit_concurrency=MOST_AT_ONCE,
                ws_max_size=LONGEST_MESSAGE,
                **secured,
            )
            gc.collect()
            gc.freeze()  # what is loaded stays for good: the collector need not walk it again while a page waits
            with suppress(KeyboardInterrupt):  # Ctrl-C is how it is stopped
                uvicorn.Server(config).run(sockets=[listening])
    return 0


def _counting_place(place: str | None) -> tuple[str, int] | None:
    """Host and port of `--metrics`. Raises Refused when it is neither a port nor HOST:PORT."""
    if place is None:
        return None
    host, _, port = place.rpartition(":")
    if not port.isdecimal() or int(port) > 65535:
        raise Refused(f"{place} is not a port or HOST:PORT; 9710 would do")
    return host.strip("[]") or HOST, int(port)


@contextmanager
def _counted(place: tuple[str, int] | None, counts: Counts, engine: Engine) -> Iterator[None]:
    """Let a monitor read the counts at an address of their own. Raises Refused when it cannot be had."""
    if place is None:
        yield
        return
    from prometheus_client import start_http_server

    from endfeel.care import custody

    host, port = place
    counts.told_of_backups(lambda: custody.newest_backup(engine))
    try:
        server, thread = start_http_server(port, host, counts.registry)
    except OSError as error:
        raise Refused(f"cannot listen on {host} port {port} for --metrics ({error.strerror or error})") from error
    print(f"Counts for a monitor are at http://{host}:{server.server_port}/metrics", flush=True)
    try:
        yield
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
