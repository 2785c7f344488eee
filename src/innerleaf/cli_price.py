"""The command about the price of a job."""

from __future__ import annotations

import json
from pathlib import Path

import click

_FILE = click.Path(path_type=Path)
_OF_PRICES = ("B101",)  # findings that say something is not in the price


@click.command()
@click.argument("job", type=_FILE)
@click.option(
    "--what-if",
    "words",
    metavar='"boards +10 %"',
    multiple=True,
    help="A change to look at, alone; may be given again. Left out: the usual ones.",
)
@click.option("--out", type=_FILE, help="Folder for quotation.pdf and price.pdf; walls are then judged too.")
@click.option("--replace", is_flag=True, help="Write over an earlier price there.")
@click.option("--quick", is_flag=True, help="Lay out each wall by itself, not for how the building is cut.")
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True, help="Processes to use.")
@click.option("--json", "as_json", is_flag=True, help="Answer in JSON, for other programs.")
def price(
    job: Path,
    words: tuple[str, ...],
    out: Path | None,
    replace: bool,
    quick: bool,
    workers: int,
    as_json: bool,
) -> None:
    """Price a job, and see what could become of the price.

    Changes are plain words: boards +10 %, labour +5 %, minutes of board +10 %, days +2, VAT 19 %, margin 6 %,
    without SUPPLIER. A comma joins changes that come together.
    """
    from innerleaf import cli_text, cli_text_price, pipeline
    from innerleaf.cost.what_if import check_words

    check_words(words)
    with cli_text.progress_bar() as progress:
        planned = pipeline.plan_job(job, together=not quick, workers=workers, progress=progress)
        if out:
            planned = pipeline.judged(planned, workers=workers, progress=progress)
        planned = pipeline.priced(planned, words)
        if out:
            pipeline.write_price(planned, out, replace=replace)
    assert planned.priced is not None
    findings = [finding for plan in planned.plans for finding in plan.findings if finding.code in _OF_PRICES]
    if as_json:
        record = cli_text_price.price_record(planned.priced, findings)
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
    else:
        cli_text_price.show_price(planned.priced, findings)
