"""The command line: read the request, call the pipeline, show the value.

Nothing heavy is imported before a command needs it, so that help and mistakes answer at once.
"""

from __future__ import annotations

import gc
import json
import signal
import sys
from collections.abc import Sequence
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, NoReturn

import click

from innerleaf import (
    __version__,
    cli_handover,
    cli_lengths,
    cli_price,
    cli_programme,
    cli_revise,
    cli_store,
    cli_supply,
)
from innerleaf.errors import FileFaults, InnerleafError, InputError
from innerleaf.threads import one_thread_each

if TYPE_CHECKING:
    from innerleaf.job.faults import Fault
    from innerleaf.pipeline import Planned
    from innerleaf.practice.model import Practice

DONE, FINDINGS, BAD_INPUT, CANNOT_WRITE, INTERNAL, INTERRUPTED = 0, 1, 2, 3, 70, 130

_EXIT_CODES = """\b
Exit codes:
  0    done
  1    done, but there are findings (only with --strict)
  2    the input cannot be used; every mistake is said
  3    the results cannot be written there; nothing was changed
  70   a mistake of the program itself
  130  interrupted; nothing was left half-written
"""

_FILE = click.Path(path_type=Path)
_as_json = click.option("--json", "as_json", is_flag=True, help="Answer in JSON, for other programs.")


@click.group(
    epilog=_EXIT_CODES, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(__version__, prog_name="innerleaf", message="%(prog)s %(version)s")
@click.option(
    "--debug", is_flag=True, expose_value=False, help="Show where in the program an error comes from."
)
def commands() -> None:
    """Plan the lining of existing walls with metal-framed gypsum board.

    Write a job file (`new`), see that it is right (`check`), plan it (`plan`).
    """


@commands.command()
@click.argument("file", type=_FILE, default="job.yaml")
def new(file: Path) -> None:
    """Write a job file to start from.

    It is job.yaml, if no FILE is named; comments in it say what everything means.
    """
    from innerleaf.job.starter import starter_text

    text = starter_text()
    try:
        with file.open("x", encoding="utf-8") as stream:
            stream.write(text)
    except FileExistsError:
        raise _cannot_write(file, "a new file; there is one of this name") from None
    except OSError as error:
        raise _cannot_write(file, f"a file that can be written ({error.strerror})") from error
    click.echo(f"{file} is written. Change it to your building, then: innerleaf check {file}")


@commands.command()
@click.argument("job", type=_FILE)
@_as_json
def check(job: Path, as_json: bool) -> None:
    """Say everything wrong with a job file."""
    from innerleaf.job.read import read_job
    from innerleaf.job.sun import surely_possible

    read = read_job(job)
    sun = read.climate.sun if read.climate else None
    if read.weather or (sun and not surely_possible(sun, read.latitude or 0.0)):
        from innerleaf.design.climate import weather_of

        weather_of(read)
    if read.supply:
        from innerleaf.cost.supply_job import supply_of_job
        from innerleaf.practice.load import load_practice

        supply_of_job(read, load_practice(read.practice, read.practice_override))
    if as_json:
        _echo_json({"ok": True, "faults": [], "rooms": len(read.rooms), "walls": len(read.walls)})
    else:
        what = f"{_count(len(read.rooms), 'room')}, {_count(len(read.walls), 'wall')}"
        click.echo(f"{job}: {what}, no mistakes found.")


@commands.command()
@click.argument("job", type=_FILE)
@click.option("--out", type=_FILE, required=True, help="Folder for the results.")
@click.option("--replace", is_flag=True, help="Write over an earlier plan there.")
@click.option("--walls", "only", metavar="W-01,W-02", help="Plan only these walls.")
@click.option("--no-pdf", is_flag=True, help="Leave out the printed set, which takes longest.")
@click.option("--no-dxf", is_flag=True, help="Leave out the drawings for CAD.")
@click.option("--layout-only", is_flag=True, help="Leave out heat and moisture.")
@click.option("--quick", is_flag=True, help="Lay out each wall by itself, not for how the building is cut.")
@click.option("--revision", default="A", show_default=True, help="Revision in the title block.")
@click.option("--date", default="", help="Date in the title block, as you write it.")
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True, help="Processes to use.")
@click.option("--strict", is_flag=True, help="Exit with 1 if any rule could not be kept.")
@_as_json
def plan(
    job: Path,
    out: Path,
    replace: bool,
    only: str | None,
    no_pdf: bool,
    no_dxf: bool,
    layout_only: bool,
    quick: bool,
    revision: str,
    date: str,
    workers: int,
    strict: bool,
    as_json: bool,
) -> None:
    """Set out every wall and write all results.

    Sheets to build from, workbook, drawings and plan.json go into one folder, which appears whole or
    not at all; files of your own in it are never written over.
    """
    from innerleaf import cli_text, pipeline, programme_case

    names = [name.strip() for name in (only or "").split(",") if name.strip()]
    with cli_text.progress_bar() as progress:
        planned = pipeline.plan_job(job, only=names, together=not quick, workers=workers, progress=progress)
        if not layout_only:
            planned = pipeline.judged(planned, workers=workers, progress=progress)
        planned = pipeline.bought(planned)
        if planned.job.pricing:
            planned = pipeline.priced(planned)
        if planned.job.programme:
            planned = programme_case.programmed(planned, progress=progress)
        pipeline.write_folder(
            planned,
            out,
            replace=replace,
            revision=revision,
            date=date,
            pdf=not no_pdf,
            dxf=not no_dxf,
            workers=workers,
            progress=progress,
        )
    if as_json:
        _echo_json(_summary(planned, out))
    else:
        cli_text.show_plan(planned, out)
    if strict and any(wall.findings for wall in planned.plans):
        raise SystemExit(FINDINGS)


@commands.command()
@click.argument("job", type=_FILE)
@click.option("--wall", "only", metavar="W-01", multiple=True, help="Only this wall; may be given again.")
@click.option("--plots", type=_FILE, help="Folder for plots of thickness, cost, U and sound, one SVG a wall.")
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True, help="Processes to use.")
@_as_json
def options(job: Path, only: tuple[str, ...], plots: Path | None, workers: int, as_json: bool) -> None:
    """Show what walls may be lined with.

    Every lining of the catalogue against every target: the best by the objective of the job, set out and
    judged in full, what they trade, and what stands in the way of the others.
    """
    from innerleaf import cli_text, pipeline

    with cli_text.progress_bar() as progress:
        told, left_out = pipeline.options_of(job, only=only, workers=workers, progress=progress)
    if plots:
        pipeline.write_option_plots(told, plots)
    if as_json:
        _echo_json(cli_text.options_record(told, left_out))
    else:
        cli_text.show_options(told, left_out)


@commands.command()
@click.argument("case", type=_FILE)
@click.option("--out", type=_FILE, help="Where to draw it: a folder, or a file ending in .svg or .png.")
@_as_json
def section(case: Path, out: Path | None, as_json: bool) -> None:
    """Solve steady heat flow through a section.

    CASE is a text file of boxes, materials and surroundings, in two or three dimensions.
    """
    from innerleaf import section_case

    click.echo(section_case.command(case, out, as_json))


@commands.command()
@click.argument("file", type=_FILE)
@click.option("--seed", type=click.IntRange(0), default=0, show_default=True, help="Of the search.")
@click.option("--seconds", type=click.FloatRange(0.1), help="Stop by the clock; two runs may then differ.")
@click.option("--drawing", type=_FILE, help="Where to draw what is cut: a file ending in .svg or .pdf.")
@_as_json
def cut(file: Path, seed: int, seconds: float | None, drawing: Path | None, as_json: bool) -> None:
    """Cut pieces from bars or sheets at least cost.

    FILE lists pieces, and the bars or sheets they are cut from, as JSON or CSV. The plan comes with what no
    plan could go below.
    """
    from innerleaf import cut_case

    click.echo(cut_case.command(file, as_json, seed=seed, seconds=seconds, drawing=drawing))


@commands.command()
@click.argument("job", type=_FILE, required=False)
@_as_json
def rules(job: Path | None, as_json: bool) -> None:
    """List the rules with their sources.

    With a JOB: the rules as they hold for it, the firm's own changes included.
    """
    practice = _practice_of(job)
    if as_json:
        from dataclasses import asdict

        _echo_json({"practice": practice.id, "rules": [asdict(note) for note in practice.rule_notes]})
    else:
        from innerleaf.cli_text import show_rules

        show_rules(practice)


@commands.command()
@click.argument("job", type=_FILE, required=False)
@click.option("--practice", "name", help="Practice set, where no JOB is named.")
@_as_json
def heights(job: Path | None, name: str | None, as_json: bool) -> None:
    """List how high studs may stand by calculation.

    For channels: how far apart their brackets may be. With a JOB: by the practice that holds for it. A check
    of plausibility: tested tables and local codes govern.
    """
    from innerleaf.design.frame.heights import height_rows
    from innerleaf.practice.structure import structure_of

    practice = _practice_of(job, name)
    structure = structure_of(practice)
    rows = height_rows(practice, structure)
    if as_json:
        from dataclasses import asdict

        _echo_json({"practice": practice.id, "heights": [asdict(row) for row in rows]})
    else:
        from innerleaf.cli_text import show_heights

        show_heights(practice, structure, rows)


def _practice_of(job: Path | None, name: str | None = None) -> Practice:
    """The practice that holds for a job, the firm's changes included; without one, a set as it comes."""
    from innerleaf.practice.load import load_practice

    if job is None:
        return load_practice(name) if name else load_practice()
    if name:
        raise InputError("practice", given=name, accepted="a set only where no job is named")
    from innerleaf.job.read import read_job

    read = read_job(job)
    return load_practice(read.practice, read.practice_override)


for _command in (
    cli_price.price,
    cli_programme.programme,
    cli_supply.supply,
    cli_revise.revise,
    cli_handover.handover,
    cli_lengths.lengths,
    cli_store.serve,
    cli_store.backup,
    cli_store.restore,
):
    commands.add_command(_command)


def main() -> NoReturn:
    """Run the command line; every error becomes a sentence and an exit code."""
    arguments = sys.argv[1:]
    gc.disable()  # plans hold no cycles: nothing to collect, and looking takes a third of the time
    one_thread_each()  # before anything loads numpy
    signal.signal(signal.SIGTERM, _interrupt)  # so that a stop cleans up like Ctrl-C
    sys.exit(_run(arguments))


def _run(arguments: list[str]) -> int:
    as_json = "--json" in arguments
    try:
        commands.main(arguments, prog_name="innerleaf", standalone_mode=False)
        return DONE
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else INTERNAL
    except click.ClickException as error:
        error.show()
        return BAD_INPUT
    except FileFaults as error:
        return _fail(BAD_INPUT, error.faults, as_json=as_json, details=getattr(error, "details", ()))
    except InputError as error:
        code = CANNOT_WRITE if _is_about_writing(error) else BAD_INPUT
        return _fail(code, [str(error)], as_json=as_json)
    except (KeyboardInterrupt, click.Abort):
        click.echo("Interrupted; nothing was left half-written.", err=True)
        return INTERRUPTED
    except BrokenPipeError:  # `innerleaf rules | head`: whoever read has enough
        sys.stderr.close()
        return DONE
    except Exception as error:  # noqa: BLE001 - the last line of defence: a sentence instead of a traceback
        return _fail_inside(error, arguments)


def _fail(code: int, faults: Sequence[str], *, as_json: bool, details: Sequence[Fault] = ()) -> int:
    if as_json:
        parts = [fault.as_dict() for fault in details] or [{"sentence": fault} for fault in faults]
        _echo_json({"ok": False, "faults": parts})
    else:
        for fault in faults:
            click.echo(fault, err=True)
        if len(faults) > 1:
            click.echo(f"{_count(len(faults), 'mistake')}.", err=True)
    return code


def _fail_inside(error: Exception, arguments: list[str]) -> int:
    if "--debug" in arguments:
        from traceback import format_exception

        click.echo("".join(format_exception(error)), err=True, nl=False)
        return INTERNAL
    what = str(error) if isinstance(error, InnerleafError) else f"{type(error).__name__}: {error}"
    click.echo(f"A mistake of the program itself, not of your file ({what}).", err=True)
    click.echo(f"To see where it comes from: innerleaf --debug {' '.join(arguments)}", err=True)
    return INTERNAL


def _is_about_writing(error: InputError) -> bool:
    from innerleaf.folder import CannotWrite

    return isinstance(error, CannotWrite)


def _cannot_write(file: Path, accepted: str) -> InputError:
    from innerleaf.folder import CannotWrite

    return CannotWrite("file", given=str(file), accepted=accepted)


def _interrupt(_signal: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _echo_json(value: object) -> None:
    click.echo(json.dumps(value, ensure_ascii=False, indent=1))


def _summary(planned: Planned, out: Path) -> dict[str, object]:
    """What a program wants to know after `plan`; everything else is in plan.json."""
    return {
        "ok": True,
        "folder": str(out),
        "plan": str(out / "plan.json"),
        "walls": len(planned.plans),
        "findings": [
            {"code": finding.code, "wall": finding.wall, "text": str(finding)}
            for wall in planned.plans
            for finding in wall.findings
        ],
    }
