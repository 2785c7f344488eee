"""`innerleaf supply FILE --map MAP --out NEW`: a supplier's price list becomes a supply list."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from innerleaf.cost.price_list import Imported, import_price_list
from innerleaf.cost.price_list_map import load_map
from innerleaf.cost.supply import Supply
from innerleaf.cost.supply_file import supply_of
from innerleaf.cost.supply_text import supply_text
from innerleaf.errors import InputError
from innerleaf.folder import CannotWrite
from innerleaf.job.read import read_job
from innerleaf.practice.load import load_practice
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import load_prices
from innerleaf.reading import read_file

_MOST_SHOWN = 40


def command(
    path: Path,
    mapping_path: Path,
    out: Path,
    as_json: bool,
    *,
    job: Path | None = None,
    others: Sequence[Path] = (),
    overwrite: bool = False,
) -> str:
    """What the command prints; the supply list is written to ``out``.

    Raises
    ------
    FileFaults, InputError
        A file cannot be used, or its currency is not that of the job or of ``others``.
    CannotWrite
        There is a file of this name, or none can be written there.
    """
    practice, currency = _of_job(job)
    mapping = load_map(mapping_path, practice)
    if currency and mapping.into != currency:
        raise InputError(
            "currency of the price list",
            given=mapping.into,
            accepted=f"{currency}, that of the job: state `into` with a rate and its date in the mapping",
        )
    found = import_price_list(path, mapping, practice)
    supply = _with(found.supply, [supply_of(read_file(other).checked(), practice) for other in others])
    head = f"Made by innerleaf out of {path.name} by {mapping_path.name}."
    _write(out, supply_text(supply, practice, head), overwrite=overwrite)
    return _as_json(found, out) if as_json else _as_text(found, out)


def _of_job(job: Path | None) -> tuple[Practice, str]:
    """The practice and the currency of a job; without one the practice set as it comes."""
    if job is None:
        return load_practice(), ""
    read = read_job(job)
    practice = load_practice(read.practice, read.practice_override)
    return practice, load_prices(practice, read.prices).currency


def _with(supply: Supply, others: Sequence[Supply]) -> Supply:
    """The list with what other lists say of other suppliers; their stand-ins and phases stay."""
    for other in others:
        if other.currency != supply.currency:
            accepted = f"{supply.currency}, as the new list has"
            raise InputError("currency of another list", given=other.currency, accepted=accepted)
        there = set(supply.suppliers)
        supply = replace(
            supply,
            source="; ".join(dict.fromkeys([supply.source, other.source])),
            suppliers={**other.suppliers, **supply.suppliers},
            offers=(*supply.offers, *(offer for offer in other.offers if offer.supplier not in there)),
            stand_ins=supply.stand_ins or other.stand_ins,
            phases=supply.phases or other.phases,
            phases_source=supply.phases_source or other.phases_source,
            joining=supply.joining or other.joining,
        )
    return supply


def _write(out: Path, text: str, *, overwrite: bool) -> None:
    try:
        with out.open("w" if overwrite else "x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
    except FileExistsError:
        accepted = "a new file; there is one of this name (--replace writes over it)"
        raise CannotWrite("supply list", given=str(out), accepted=accepted) from None
    except OSError as error:
        accepted = f"a file that can be written ({error.strerror})"
        raise CannotWrite("supply list", given=str(out), accepted=accepted) from error


def _as_text(found: Imported, out: Path) -> str:
    lines = [str(fault) for fault in found.faults[:_MOST_SHOWN]]
    if len(found.faults) > _MOST_SHOWN:
        lines.append(f"and {len(found.faults) - _MOST_SHOWN} more.")
    if lines:
        lines = ["Left out:", *(f"  {line}" for line in lines)]
    if found.unknown:
        rows = "1 row has a code" if found.unknown == 1 else f"{found.unknown} rows have codes"
        lines.append(f"{rows} that `articles` of the mapping does not name.")
    count = len(found.supply.offers)
    lines.append(f"{out} is written: {count} offer{'' if count == 1 else 's'} in {found.supply.currency}.")
    return "\n".join(lines)


def _as_json(found: Imported, out: Path) -> str:
    record = {
        "ok": True,
        "file": str(out),
        "offers": len(found.supply.offers),
        "unknown_codes": found.unknown,
        "left_out": [
            {"row": fault.row, "column": fault.column, "given": fault.given, "accepted": fault.accepted}
            for fault in found.faults
        ],
    }
    return json.dumps(record, ensure_ascii=False, indent=1)
