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
@click.option("--team", is_flag=True, help="People sign in; the first start prints an invitation.")
@click.option("--host", help="Address to listen at; only with --team. Left out: this machine only.")
@click.option(
    "--name", "names", multiple=True, help="Name or address that browsers will use; may be given again."
)
def serve(url: str | None, port: int, team: bool, host: str | None, names: tuple[str, ...]) -> None:
    """Show the pages in a browser.

    Survey, set out and change jobs in a browser; every change is a revision. Without --team it serves one
    person, on this machine only, without sign-in. Ctrl-C stops.
    """
    from innerleaf.errors import InputError
    from innerleaf.store.engine import default_folder, default_url
    from innerleaf.web.serve import HOST, serve_pages

    if host and not team:
        raise InputError(
            "host", given=host, accepted="an address only with --team: without it nobody signs in"
        )
    shown = names[0] if names else host or HOST

    def listening(at: int, word: str) -> None:
        click.echo(f"innerleaf is at http://{shown}:{at}/ (Ctrl-C stops it)")
        if word:
            click.echo(
                f"Nobody has an account yet. The first estimator joins at http://{shown}:{at}/join/{word}"
            )

    folder = default_folder() / "work"
    known = (*names, *filter(None, [host]))
    serve_pages(url or default_url(), folder, host or HOST, port, known, team=team, listening=listening)


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
