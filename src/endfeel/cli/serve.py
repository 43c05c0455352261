"""`endfeel serve`: the pages, on this machine only by default."""

from __future__ import annotations

import argparse
import socket
import sys
import threading
import webbrowser

from endfeel.vocabulary import Refused

HOST, PORT = "127.0.0.1", 8710
LOOPBACK = ("127.0.0.1", "localhost", "::1")


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--host", default=HOST, help=f"address to listen on (default {HOST}, this machine only)")
    parser.add_argument("--port", type=int, default=PORT, help=f"port (default {PORT})")
    parser.add_argument("--store", help="database address or SQLite file (default: your own store)")
    parser.add_argument("--open", action="store_true", help="open the browser")


def run(options: argparse.Namespace) -> int:
    """Serve until Ctrl-C."""
    return serve_store(options.store, options.host, options.port, open_browser=options.open)


def serve_store(store: str | None, host: str = HOST, port: int = PORT, *, open_browser: bool = False) -> int:
    """Serve the pages of a store until Ctrl-C. Raises Refused when the port is taken or not to be had."""
    import uvicorn

    from endfeel import care
    from endfeel.web.app import LOCAL_HOSTS, make_app

    listening = _listen(host, port)
    address = f"http://{f'[{host}]' if ':' in host else host}:{listening.getsockname()[1]}/"
    if host not in LOOPBACK:
        print(f"endfeel: {host} can be reached from other machines; the pages have no login.", file=sys.stderr)
    names = tuple(dict.fromkeys((*LOCAL_HOSTS, host.lower())))
    app = make_app(care.open_desk(store), names)
    print(f"Endfeel is at {address}   (stop with Ctrl-C)", flush=True)
    if open_browser:
        threading.Timer(0.5, webbrowser.open, (address,)).start()
    uvicorn.Server(uvicorn.Config(app, log_level="warning", server_header=False)).run(sockets=[listening])
    return 0


def _listen(host: str, port: int) -> socket.socket:
    """A socket on this address, bound at once so that a taken port is told before anything is opened."""
    if not 0 <= port <= 65535:
        raise Refused(f"there is no port {port}; 1024 to 65535 would do")
    listening = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        listening.listen(128)
    except OSError as error:
        listening.close()
        raise Refused(
            f"cannot listen on {host} port {port} ({error.strerror or error}); is Endfeel running already? "
            f"Try --port {port + 1 if port < 65535 else PORT}"
        ) from error
    return listening
