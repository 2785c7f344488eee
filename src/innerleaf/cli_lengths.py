"""The command about lengths to order and deliveries to cut from."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from innerleaf.takeoff.ways import BatchPrice, LengthsAdvice


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True, help="Processes to use.")
@click.option("--json", "as_json", is_flag=True, help="Answer in JSON, for other programs.")
def lengths(job: Path, workers: int, as_json: bool) -> None:
    """Tell which lengths to order, and what smaller deliveries cost.

    The best one, two and three lengths of each profile and board against all that are offered; and how much
    more is bought if each storey or room is cut from what arrived for it.
    """
    from innerleaf import cli_text, pipeline

    with cli_text.progress_bar() as progress:
        advice, batches = pipeline.lengths_of(job, workers=workers, progress=progress)
    if as_json:
        answer = {"lengths": [asdict(row) for row in advice], "batches": [asdict(row) for row in batches]}
        click.echo(json.dumps(answer, ensure_ascii=False, indent=1))
    else:
        for line in (*_of_lengths(advice), "", *_of_batches(batches)):
            click.echo(line)


def _of_lengths(advice: Sequence[LengthsAdvice]) -> Iterator[str]:
    yield "Lengths to order: what they take at least, beyond what all offered lengths together take"
    for row in advice:
        lengths = ", ".join(map(str, row.lengths_mm))
        yield f"  {row.item:<24} {lengths:<36} {max(0.0, 100 * row.more):6.2f} % more"


def _of_batches(batches: Sequence[BatchPrice]) -> Iterator[str]:
    yield "Cut from what has arrived: what is bought beyond one delivery for the building"
    for row in batches:
        if row.way != "building":
            yield f"  {row.item:<24} by {row.way}, {row.batches} deliveries: {100 * row.more:6.2f} % more"
