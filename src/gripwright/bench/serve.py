"""Start the bench on the loopback address and say where it is."""

from __future__ import annotations

import contextlib
import secrets
import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from gripwright.bench.app import make_app
from gripwright.errors import InputError

LOOPBACK = "127.0.0.1"


def open_socket(port: int) -> socket.socket:
    """Return a listening socket on the loopback address; raises InputError if it is taken."""
    server = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    server.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        server.bind((LOOPBACK, port))
        server.listen(128)  # whoever comes before the server is up waits, and is not refused
    except OSError as error:
        server.close()
        raise InputError(
            f"port {port} cannot be used: {error.strerror}", field="port",
            remedy="leave --port out to take a free one",
        ) from error  # fmt: skip
    return server


def serve(
    folder: Path, *, port: int = 0, show: bool = True, say: Callable[[str], None] = print
) -> None:
    """Serve the bench for a folder until it is stopped.

    Raises InputError when the folder is not there or the port is taken.
    """
    if not folder.is_dir():
        raise InputError(
            f"{folder} is not a folder", field="folder", remedy="give a folder that is there"
        )
    server = open_socket(port)
    port = server.getsockname()[1]
    token = secrets.token_urlsafe(24)
    hosts = (f"{LOOPBACK}:{port}", f"localhost:{port}")
    address = f"http://{LOOPBACK}:{port}/#token={token}"
    app = make_app(folder.resolve(), token, hosts)
    config = uvicorn.Config(app, log_level="warning", access_log=False, timeout_graceful_shutdown=2)
    say(f"The bench is open: {address}\nStop it with Ctrl-C.")
    if show:
        with contextlib.suppress(webbrowser.Error):
            webbrowser.open(address)
    uvicorn.Server(config).run(sockets=[server])
