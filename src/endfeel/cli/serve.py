"""`endfeel serve`: the pages, on this machine only by default."""

from __future__ import annotations

import argparse
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from endfeel.cli.class_listener import CLASS_PORT, ClassWish, class_listening
from endfeel.cli.daily_backups import daily_backups
from endfeel.cli.listening import LOOPBACK, listen, listen_together, secured_by
from endfeel.cli.machine import settle_memory
from endfeel.cli.passphrase import AtTerminal
from endfeel.cli.phone_listener import OWN, PHONE_PORT, PhoneWish, phone_listening
from endfeel.cli.workers import check_workers, work_together
from endfeel.vocabulary import Refused

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from endfeel.care import Desk
    from endfeel.web.class_door import ClassDoor
    from endfeel.web.phone_door import PhoneDoor
    from endfeel.web.watch import Counts

HOST, PORT = "127.0.0.1", 8710
MOST_AT_ONCE = 1000
"""Connections and requests held at once; what comes on top is told to come again."""
ALONE, OF_SEVERAL = 40, 4
"""Pages worked on at once by one process alone, and by one of several: more threads would wait for each other, and one
that holds the end of the audit must not."""
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
    workers: int = 1


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--host", default=HOST, help=f"address to listen on (default {HOST}, this machine only)")
    parser.add_argument("--port", type=int, default=PORT, help=f"port (default {PORT})")
    parser.add_argument("--store", help="database address or SQLite file (default: your own store)")
    parser.add_argument("--unencrypted", action="store_true", help="do not encrypt a store that is made now")
    parser.add_argument("--open", action="store_true", help="open the browser")
    phone = parser.add_argument_group("a phone as angle sensor")
    phone.add_argument(
        "--phone",
        nargs="?",
        const=OWN,
        metavar="ADDRESS",
        help="let it in, at this address of this machine (default: the one in the local network)",
    )
    phone.add_argument("--phone-port", type=int, default=PHONE_PORT, help=f"its port (default {PHONE_PORT})")
    phone.add_argument("--phone-certificate", metavar="FILE", help="its certificate (default: one made here)")
    phone.add_argument("--phone-key", metavar="FILE", help="key of that certificate")
    learners = parser.add_argument_group("a class")
    learners.add_argument(
        "--class",
        dest="class_address",
        nargs="?",
        const=OWN,
        metavar="ADDRESS",
        help="let learners in, to their pages alone, here (default: the address in the local network)",
    )
    learners.add_argument(
        "--class-port", type=int, default=CLASS_PORT, help=f"port for learners (default {CLASS_PORT})"
    )
    clinic = parser.add_argument_group("a clinic's machine (docs/operations.md)")
    clinic.add_argument("--certificate", metavar="FILE", help="certificate of the pages: they speak https then")
    clinic.add_argument("--key", metavar="FILE", help="key of that certificate, without a password")
    clinic.add_argument(
        "--name", action="append", default=[], help="a name under which the pages are asked for (may be given again)"
    )
    clinic.add_argument(
        "--rate", type=int, metavar="N", help="requests one other machine has in a minute (default 1200; 0: no limit)"
    )
    clinic.add_argument("--log", choices=("text", "json"), help="a line a request on standard error, about nobody")
    clinic.add_argument(
        "--metrics",
        metavar="[HOST:]PORT",
        help="counts for a monitor, about nobody (on this machine, unless HOST says)",
    )
    clinic.add_argument(
        "--workers", type=int, default=1, metavar="N", help="processes at this port, for a store on PostgreSQL"
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
            tuple(options.name),
            options.certificate,
            options.key,
            options.rate,
            options.log,
            options.metrics,
            options.workers,
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
    does not fit, or several workers are asked for where there can be one alone."""
    from endfeel import care
    from endfeel.care import custody
    from endfeel.web import journal
    from endfeel.web.app import LOCAL_HOSTS

    workers = outward.workers
    check_workers(workers, on_a_server=custody.on_a_server(store), doors=bool(phone or learners))
    secured, counting = secured_by(outward.certificate, outward.key), _counting_place(outward.metrics)
    sockets = [listen(host, port)] if workers == 1 else listen_together(host, port, workers)
    scheme = "https" if secured else "http"
    address = f"{scheme}://{f'[{host}]' if ':' in host else host}:{sockets[0].getsockname()[1]}/"
    names = tuple(dict.fromkeys((*LOCAL_HOSTS, host.lower(), *(name.lower() for name in outward.names))))
    desk = care.open_desk(store, keeper=AtTerminal(), unencrypted=unencrypted)
    journal.configure(journal.Form(outward.log) if outward.log else None)
    if host not in LOOPBACK and not care.clinic_is_on(desk):
        told = f"endfeel: {host} can be reached from other machines; nobody is asked to sign in (endfeel staff add)."
        print(told, file=sys.stderr)

    def told_at_start(door: PhoneDoor | None = None, class_door: ClassDoor | None = None) -> None:
        print(f"Endfeel is at {address}   (stop with Ctrl-C)", flush=True)
        if door:
            print(f"A phone comes in at {door.address}phone, by the code beside the visit", flush=True)
        if class_door:
            print(f"Learners come in at {class_door.address}join, by the code of their class", flush=True)
        if open_browser:
            threading.Timer(0.5, webbrowser.open, (address,)).start()

    served = _Served(desk, names, outward.a_minute, secured)
    settle_memory()
    if workers > 1:
        return work_together(workers, lambda place: _work(served, sockets, place, counting), told_at_start)
    with (
        phone_listening(phone, desk.library) if phone else nullcontext() as door,
        class_listening(learners, desk) if learners else nullcontext() as class_door,
    ):
        _serve(served, sockets[0], counting, door, class_door, told_at_start)
    return 0


@dataclass(frozen=True, slots=True)
class _Served:
    """What every worker serves."""

    desk: Desk
    names: tuple[str, ...]
    a_minute: int | None
    secured: dict[str, Any]


def _work(served: _Served, sockets: list[socket.socket], place: int, counting: tuple[str, int] | None) -> None:
    """One of several workers: its own socket of the port, its own connections, its own port for a monitor."""
    served.desk.engine.dispose(close=False)  # connections of the process it was forked from stay that one's
    for number, other in enumerate(sockets):
        if number != place:
            other.close()
    if counting is not None and counting[1]:
        counting = counting[0], counting[1] + place
    _serve(served, sockets[place], counting, threads=OF_SEVERAL)


def _serve(
    served: _Served,
    listening: socket.socket,
    counting: tuple[str, int] | None,
    door: PhoneDoor | None = None,
    class_door: ClassDoor | None = None,
    ready: Callable[[PhoneDoor | None, ClassDoor | None], None] = lambda *_: None,
    threads: int = ALONE,
) -> None:
    import uvicorn
    from anyio import to_thread

    from endfeel.web.app import make_app
    from endfeel.web.rates import USUAL

    a_minute = USUAL if served.a_minute is None else served.a_minute
    engine = served.desk.engine
    app = make_app(served.desk, served.names, door, class_door, a_minute)
    with daily_backups(engine, app.state.backups), _counted(counting, app.state.counts, engine):
        ready(door, class_door)
        config = uvicorn.Config(
            app,
            log_config=None,
            access_log=False,
            server_header=False,
            limit_concurrency=MOST_AT_ONCE,
            ws_max_size=LONGEST_MESSAGE,
            **served.secured,
        )

        class Server(uvicorn.Server):
            async def startup(self, sockets: list[socket.socket] | None = None) -> None:
                to_thread.current_default_thread_limiter().total_tokens = threads
                await super().startup(sockets)

        with suppress(KeyboardInterrupt):  # Ctrl-C is how it is stopped
            Server(config).run(sockets=[listening])


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
