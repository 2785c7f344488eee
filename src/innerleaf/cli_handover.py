"""The command that makes the hand-over pack."""

from __future__ import annotations

from pathlib import Path

import click

_FILE = click.Path(path_type=Path)


@click.command()
@click.argument("job", type=_FILE)
@click.option("--records", type=_FILE, required=True, help="Site records of the job, a JSON file.")
@click.option("--out", type=_FILE, required=True, help="Folder for handover.pdf and handover.json.")
@click.option("--documents", type=_FILE, help="Folder with the firm's documents, which go inside the pack.")
@click.option("--photos", type=_FILE, help="Folder with the photos; left out: `photos` beside the records.")
@click.option(
    "--plan", type=_FILE, help="plan.json that was built from; left out: as the job sets walls out."
)
@click.option("--date", "day", default="", help="Day of the pack, 2026-03-02; left out: of the last record.")
@click.option("--statement", default="", help="Said on the cover, such as: this building is invented.")
@click.option("--replace", is_flag=True, help="Write over an earlier pack there.")
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True, help="Processes to use.")
@click.option("--json", "as_json", is_flag=True, help="Answer in JSON, for other programs.")
def handover(
    job: Path,
    records: Path,
    out: Path,
    documents: Path | None,
    photos: Path | None,
    plan: Path | None,
    day: str,
    statement: str,
    replace: bool,
    workers: int,
    as_json: bool,
) -> None:
    """Make the hand-over pack.

    One PDF for the archive: walls as built, checks with values and photos, who accepted what, what the walls
    do, materials with the firm's documents inside, care and fixing, signatures. And the same as data.
    """
    from innerleaf import cli_text, handover_case

    with cli_text.progress_bar() as progress:
        done = handover_case.handed_over(
            job,
            records,
            documents=documents,
            photos=photos,
            plan=plan,
            day=day,
            statement=statement,
            workers=workers,
            progress=progress,
        )
        handover_case.write_handover(done, out, overwrite=replace)
    if as_json:
        click.echo(handover_case.handover_data(done.pack).decode(), nl=False)
        return
    pack = done.pack
    checks = sum(len(wall.checks) for wall in pack.walls)
    click.echo(f"{len(pack.walls)} walls, {checks} checks, {pack.chain.records} records; {out} is written.")
    for fault in pack.chain.faults:
        click.echo(f"  chain of records: {fault}")
    for point in pack.open_points:
        click.echo(f"  open: {point}")
