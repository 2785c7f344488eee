"""The command that holds two plans against each other."""

from __future__ import annotations

import json
from pathlib import Path

import click

_FILE = click.Path(path_type=Path)


@click.command()
@click.argument("old", type=_FILE)
@click.argument("new", type=_FILE)
@click.option(
    "--bought", type=_FILE, help="What is bought and built already: a file, or an earlier plan.json."
)
@click.option("--out", type=_FILE, help="Folder for revision.pdf, revision.json and the variation quotation.")
@click.option("--replace", is_flag=True, help="Write over an earlier revision there.")
@click.option("--revision", "letter", default="", help="Revision in the title block.")
@click.option("--date", default="", help="Date in the title block, as you write it.")
@click.option("--quick", is_flag=True, help="Lay out each wall by itself, not for how the building is cut.")
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True, help="Processes to use.")
@click.option("--json", "as_json", is_flag=True, help="Answer in JSON, for other programs.")
def revise(
    old: Path,
    new: Path,
    bought: Path | None,
    out: Path | None,
    replace: bool,
    letter: str,
    date: str,
    quick: bool,
    workers: int,
    as_json: bool,
) -> None:
    """Hold two plans against each other.

    OLD and NEW are job files, or plan.json of earlier plans; NEW may be a file of site records: the plan
    as built, with the cut list and labels of what is still to be cut. Walls that nothing was changed on
    keep their layout. With --bought: what of it is used no longer, and what must be bought more.
    """
    from innerleaf import cli_text, revise_case
    from innerleaf.documents.revision_pages import headline, wall_lines
    from innerleaf.remaining import words_of

    with cli_text.progress_bar() as progress:
        done = revise_case.revised(old, new, bought=bought, quick=quick, workers=workers, progress=progress)
        if out:
            revise_case.write_revision(done, out, overwrite=replace, letter=letter, date=date)
    if as_json:
        click.echo(json.dumps(revise_case.revision_document(done.revision), ensure_ascii=False, indent=1))
        return
    left = words_of(done.left) if done.left else []
    for line in (*headline(done.revision), *wall_lines(done.revision), *left):
        click.echo(line)
    if out:
        click.echo(f"{out} is written.")
        if done.quotation is None:
            click.echo("No variation quotation: that needs a job file as NEW.")
