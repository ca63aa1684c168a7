"""Start the bench on the loopback address and say where it is."""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from gripwright.bench.app import make_app
from gripwright.bench.patience import PatientProtocol
from gripwright.errors import InputError
from gripwright.pack.refusals import in_words

LOOPBACK = "127.0.0.1"
# The dynamic ports, which no service has by right (RFC 6335, section 6).
FIRST_PORT, LAST_PORT = 49_152, 65_535
# A window holds one stream and a few calls; beyond this the door is closed, not the memory filled.
MOST_CONNECTIONS = 200


def port_of(folder: Path) -> int:
    """Return the port that belongs to a folder, so that its pages keep their address.

    >>> port_of(Path("/lessons")) == port_of(Path("/lessons"))
    True
    """
    digest = hashlib.sha256(os.fsencode(folder)).digest()
    return FIRST_PORT + int.from_bytes(digest[:4], "big") % (LAST_PORT - FIRST_PORT + 1)


def open_socket(port: int) -> socket.socket:
    """Return a listening socket on the loopback address; raises InputError if it is taken."""
    # The protocol is named: only then does asyncio send small answers at once (TCP_NODELAY);
    # else each waits 40 ms for the other side to acknowledge its headers.
    server = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    server.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        server.bind((LOOPBACK, port))
        server.listen(128)  # whoever comes before the server is up waits, and is not refused
    except OSError as error:
        server.close()
        raise InputError(
            f"port {port} cannot be used: {error.strerror}", field="port",
            remedy="stop what uses it (another bench, perhaps), give another --port, or leave "
            "--port out to take a free one",
        ) from error  # fmt: skip
    return server


def _socket_for(folder: Path) -> socket.socket:
    """Return a socket on the folder's own port, or on any free one where that is taken."""
    try:
        return open_socket(port_of(folder))
    except InputError:
        return open_socket(0)


def check_folder(folder: Path) -> Path:
    """Return the real path of a folder; raises InputError for what cannot be opened as one."""
    if folder.is_file():
        raise InputError(
            f"{folder} is a file, and the bench opens a folder of lessons", field="folder",
            remedy=f"open the folder that it lies in: gripwright bench {folder.parent}",
        )  # fmt: skip
    if not folder.is_dir():
        raise InputError(
            f"there is no folder {folder}", field="folder",
            remedy="make it first, or give one that is there",
        )  # fmt: skip
    try:
        os.listdir(folder)
    except OSError as error:
        reason, remedy = in_words(error)
        raise InputError(
            f"{folder} cannot be opened: {reason}", field="folder", remedy=remedy
        ) from error
    return folder.resolve()


def serve(
    folder: Path, *, port: int = 0, show: bool = True, say: Callable[[str], None] = print
) -> None:
    """Serve the bench for a folder until it is stopped.

    ``port`` 0 takes the folder's own port, or a free one. Raises InputError when the folder
    cannot be opened or the port is taken.
    """
    folder = check_folder(folder)
    server = open_socket(port) if port else _socket_for(folder)
    port = server.getsockname()[1]
    token = secrets.token_urlsafe(24)
    hosts = (f"{LOOPBACK}:{port}", f"localhost:{port}")
    address = f"http://{LOOPBACK}:{port}/#token={token}"
    config = uvicorn.Config(
        make_app(folder, token, hosts), log_level="warning", access_log=False,
        timeout_graceful_shutdown=2, http=PatientProtocol, ws="none",
        limit_concurrency=MOST_CONNECTIONS, server_header=False,
    )  # fmt: skip
    say(f"The bench is open: {address}\nStop it with Ctrl-C.")
    if not os.access(folder, os.W_OK):
        say("Nothing can be written in this folder: lessons can be looked at, not changed.")
    if show:
        with contextlib.suppress(webbrowser.Error):
            webbrowser.open(address)
    uvicorn.Server(config).run(sockets=[server])
