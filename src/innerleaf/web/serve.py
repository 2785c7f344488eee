"""Starting the server: for one person on this machine, or for a team."""

from __future__ import annotations

import gc
import getpass
import socket
from collections.abc import Callable, Sequence
from pathlib import Path

import uvicorn

from innerleaf.errors import InputError
from innerleaf.store.engine import open_store
from innerleaf.store.people import Role, invite, people
from innerleaf.web.app import LOOPBACK, make_app
from innerleaf.web.desk import Desk
from innerleaf.web.runs import Runner

HOST = "127.0.0.1"
_KEPT_OPEN_S = 75  # longer than people look at a page


def serve_pages(
    url: str,
    folder: Path,
    host: str,
    port: int,
    names: Sequence[str],
    *,
    team: bool,
    listening: Callable[[int, str], None],
) -> None:
    """Serve a store until it is told to stop.

    ``names`` are those that it answers to besides those of this machine. ``listening`` hears at which port,
    once it can be asked, and the word of an invitation where a team has nobody yet.

    Raises
    ------
    InputError
        The store does not open, or the port is taken.
    """
    _collect_seldom()
    desk = Desk(open_store(url), folder)
    hosts = LOOPBACK | {name.lower() for name in names}
    app = make_app(desk, user=_user(), hosts=hosts, runner=Runner(url, folder), team=team)
    config = uvicorn.Config(
        app, host=host, port=port, log_level="warning", server_header=False, timeout_keep_alive=_KEPT_OPEN_S
    )
    server = uvicorn.Server(config)
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen(128)
    except OSError as error:
        raise InputError(
            "address", given=f"{host}:{port}", accepted=f"one to listen at ({error.strerror})"
        ) from error
    nobody = team and not people(desk.engine)
    word = invite(desk.engine, Role.ESTIMATOR, by="the command line", at=desk.clock()) if nobody else ""
    listening(listener.getsockname()[1], word)
    server.run(sockets=[listener])


def _collect_seldom() -> None:
    """Collect cyclic garbage, which a command, soon over, goes without; plans are trees: there is little."""
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)
    gc.enable()


def _user() -> str:
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "somebody"
