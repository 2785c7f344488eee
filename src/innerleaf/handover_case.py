"""`innerleaf handover JOB`: from a job, its site records and the firm's documents to one pack."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date
from pathlib import Path
from typing import Any, Final

from innerleaf import pipeline
from innerleaf.documents.handover_data import Built, Head, pack_of
from innerleaf.documents.handover_files import Attached, documents_in, photos_in, smaller
from innerleaf.documents.handover_model import HandoverPack
from innerleaf.documents.handover_pdf import DATA, handover_pdf
from innerleaf.errors import InputError
from innerleaf.folder import whole_folder
from innerleaf.job.model import Job
from innerleaf.job.read import read_job
from innerleaf.layout.pieces import WallPlan
from innerleaf.plan_file import closed, figures, schema_of
from innerleaf.plan_read import of_layout, plan_values
from innerleaf.practice.measures import articles
from innerleaf.practice.model import Practice
from innerleaf.site.records import Record
from innerleaf.site.records_file import read_records
from innerleaf.site.replan import as_built

FORMAT: Final = "innerleaf-handover"
VERSION: Final = 1

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class HandedOver:
    """A pack with everything its papers are made from: plans by wall, photos by digest, documents."""

    pack: HandoverPack
    drawn: dict[str, WallPlan]
    built: dict[str, WallPlan]
    practice: Practice
    photos: dict[str, bytes]
    documents: tuple[Attached, ...]


def handed_over(
    job: Path,
    records: Path | Sequence[Record],
    *,
    documents: Path | None = None,
    photos: Path | Mapping[str, bytes] | None = None,
    plan: Path | None = None,
    day: str = "",
    statement: str = "",
    workers: int = 1,
    progress: Progress = pipeline.silent,
) -> HandedOver:
    """Put a pack together: the walls that have records, as built.

    Parameters
    ----------
    photos : Path or mapping, optional
        Folder with the photos of the records, or photos by digest; left out: `photos` beside the records.
    plan : Path, optional
        plan.json that the site was built from; left out: walls as the job file sets them out, each by itself.
    day : str
        Of the pack, as year-month-day; left out: that of the last record.

    Raises
    ------
    FileFaults, InputError
        A file cannot be used, or no record is about a wall of the job.
    """
    chain = read_records(records) if isinstance(records, Path) else tuple(records)
    read = read_job(job)
    names = [wall.id for wall in read.walls]
    told = {record.entry.wall for record in chain}
    walls = [name for name in names if name in told]
    if not walls:
        raise InputError("records", given="about none of its walls", accepted=f"records of {job.name}")
    head = _head(read, chain, day, statement)
    keep = [of_layout(one) for one in plan_values(plan).plans] if plan else ()
    planned = pipeline.plan_job(job, only=walls, keep=keep, workers=workers, progress=progress)
    practice = planned.practice
    given = documents_in(documents, articles(practice))
    stood = [as_built(one, practice, chain) for one in planned.plans]
    judged = pipeline.judged(
        replace(planned, plans=tuple(one.plan for one in stood)), workers=workers, progress=progress
    )
    beside = records.parent / "photos" if isinstance(records, Path) else None
    pictures = _pictures(photos if photos is not None else beside, chain)
    built = [
        Built(drawn=drawn, plan=plan_now, findings=one.findings, performance=performance)
        for drawn, plan_now, one, performance in zip(
            planned.plans, judged.plans, stood, judged.performances, strict=True
        )
    ]
    pack = pack_of(
        head,
        built,
        [name for name in names if name not in told],
        chain,
        practice,
        [one.about for one in given],
        frozenset(pictures),
    )
    return HandedOver(
        pack=pack,
        drawn={one.wall.id: one for one in planned.plans},
        built={one.wall.id: one for one in judged.plans},
        practice=practice,
        photos=pictures,
        documents=given,
    )


def _pictures(photos: Path | Mapping[str, bytes] | None, chain: Sequence[Record]) -> dict[str, bytes]:
    """The photos that records speak of, by digest, made smaller."""
    wanted = {digest for record in chain for digest in record.entry.photos}
    if photos is None or isinstance(photos, Path):
        return photos_in(photos, wanted) if photos else {}
    return {digest: smaller(photos[digest], digest[:12]) for digest in sorted(wanted & set(photos))}


def _head(job: Job, chain: Sequence[Record], day: str, statement: str) -> Head:
    whole = day or (chain[-1].server_time.astimezone(UTC).date().isoformat() if chain else "")
    try:
        date.fromisoformat(whole)
    except ValueError:
        raise InputError("date", given=day, accepted="year-month-day, such as 2026-03-02") from None
    client = job.pricing.client if job.pricing else None
    return Head(
        project=job.name,
        place=job.site_place,
        firm=job.firm,
        client=(client.name, *client.address) if client else (),
        date=whole,
        statement=statement,
    )


def write_handover(done: HandedOver, target: Path, *, overwrite: bool = False) -> None:
    """Write handover.pdf and handover.json.

    Raises
    ------
    CannotWrite
        There is something else at ``target``, or the disk does not take the files.
    """
    data = handover_data(done.pack)
    made = handover_pdf(done.pack, done.drawn, done.built, done.practice, done.photos, done.documents, data)
    with whole_folder(target, replace=overwrite) as folder:
        (folder / "handover.pdf").write_bytes(made)
        (folder / DATA).write_bytes(data)


def handover_data(pack: HandoverPack) -> bytes:
    """The pack as JSON; the same pack gives the same bytes."""
    document = {"format": FORMAT, "version": VERSION, **figures(pack)}
    return (json.dumps(document, ensure_ascii=False, indent=1) + "\n").encode()


def handover_schema() -> dict[str, Any]:
    """JSON Schema of handover.json; committed in ``schema/``."""
    definitions: dict[str, Any] = {}
    schema_of(HandoverPack, definitions)
    whole = definitions.pop("HandoverPack")
    properties = {"format": {"const": FORMAT}, "version": {"const": VERSION}, **whole["properties"]}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Hand-over pack",
        "description": "What was built, checked and accepted, and what it does. See docs/handover.md.",
        **closed(properties),
        "$defs": dict(sorted(definitions.items())),
    }
