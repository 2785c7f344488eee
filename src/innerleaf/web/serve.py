"""Starting the server for one person: on this machine only, without sign-in."""

from __future__ import annotations

import gc
import getpass
import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn

from innerleaf.errors import InputError
from innerleaf.store.engine import open_store
from innerleaf.web.app import make_app
from innerleaf.web.desk import Desk
from innerleaf.web.runs import Runner

HOST = "127.0.0.1"


def serve_pages(url: str, folder: Path, port: int, listening: Callable[[int], None]) -> None:
    """Serve a store until it is told to stop; ``listening`` hears at which port, once it can be asked.

    Raises
    ------
    InputError
        The store does not open, or the port is taken.
    """
    gc.enable()  # a command is soon over and goes without; a server is not
    desk = Desk(open_store(url), folder)
    app = make_app(desk, user=_user(), runner=Runner(url, folder))
    config = uvicorn.Config(app, host=HOST, port=port, log_level="warning", server_header=False)
    server = uvicorn.Server(config)
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((HOST, port))
        listener.listen(128)
    except OSError as error:
        raise InputError("port", given=port, accepted=f"a port to listen on ({error.strerror})") from error
    listening(listener.getsockname()[1])
    server.run(sockets=[listener])


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "somebody"
