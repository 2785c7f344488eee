"""Commands about the store: the pages, a copy, a store made of a copy."""

from __future__ import annotations

from pathlib import Path

import click

_FILE = click.Path(path_type=Path)
_store = click.option(
    "--store",
    "url",
    metavar="URL",
    envvar="INNERLEAF_STORE",
    help="sqlite:///FILE or postgresql://…; left out: one file among your data.",
)


@click.command()
@_store
@click.option("--port", type=click.IntRange(0, 65535), default=8420, show_default=True)
def serve(url: str | None, port: int) -> None:
    """Show the pages in a browser, on this machine only.

    Survey, set out and change jobs in a browser; every change is a revision. Ctrl-C stops.
    """
    from innerleaf.store.engine import default_folder, default_url
    from innerleaf.web.serve import HOST, serve_pages

    def listening(at: int) -> None:
        click.echo(f"innerleaf is at http://{HOST}:{at}/ (Ctrl-C stops it)")

    serve_pages(url or default_url(), default_folder() / "work", port, listening)


@click.command()
@click.argument("file", type=_FILE)
@_store
def backup(file: Path, url: str | None) -> None:
    """Copy the store into FILE, also while it serves.

    The copy is read back and compared before it gets its name. It is itself a store that can be opened.
    """
    from innerleaf.store.backup import backup as copy
    from innerleaf.store.engine import default_url

    _tell(f"Copied to {file}", copy(url or default_url(), file))


@click.command()
@click.argument("file", type=_FILE)
@_store
def restore(file: Path, url: str | None) -> None:
    """Fill an empty store from a copy that `backup` made.

    So a store moves from SQLite to PostgreSQL or back.
    """
    from innerleaf.store.backup import restore as fill
    from innerleaf.store.engine import default_url

    _tell(f"Restored from {file}", fill(file, url or default_url()))


def _tell(done: str, rows: dict[str, int]) -> None:
    counts = ", ".join(f"{count} {name}{'' if count == 1 else 's'}" for name, count in rows.items())
    click.echo(f"{done}: {counts}.")
