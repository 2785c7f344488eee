"""The command about suppliers' price lists."""

from __future__ import annotations

from pathlib import Path

import click

_FILE = click.Path(path_type=Path)


@click.command()
@click.argument("file", type=_FILE)
@click.option("--map", "mapping", type=_FILE, required=True, help="How the price list is to be read.")
@click.option("--out", type=_FILE, required=True, help="Supply list to write.")
@click.option("--with", "others", type=_FILE, multiple=True, help="Take along another supply list.")
@click.option("--job", type=_FILE, help="Job whose practice and currency hold.")
@click.option("--replace", is_flag=True, help="Write over an earlier supply list.")
@click.option("--json", "as_json", is_flag=True, help="Answer in JSON, for other programs.")
def supply(
    file: Path,
    mapping: Path,
    out: Path,
    others: tuple[Path, ...],
    job: Path | None,
    replace: bool,
    as_json: bool,
) -> None:
    """Make a supply list out of a supplier's price list.

    FILE is CSV or XLSX; the mapping names its columns, units, currency, and the article of each code. Rows
    that cannot be used are left out and told.
    """
    from innerleaf import supply_case

    click.echo(supply_case.command(file, mapping, out, as_json, job=job, others=others, overwrite=replace))
