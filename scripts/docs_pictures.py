"""Draw the pictures of README.md and docs/ from the demo: `docs_pictures.py docs/img` (needs pdftoppm)."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from innerleaf.documents.cut_list import cut_list
from innerleaf.documents.cut_papers import cut_pages, drawn_sheets
from innerleaf.documents.labels_page import LabelSheet, labels_of, labels_pdf
from innerleaf.documents.pdf import set_pdf, sheets_pdf
from innerleaf.documents.title import TitleBlock
from innerleaf.pipeline import Planned, plan_job

JOB = Path("examples/demo/job.yaml")
WALL, PAGE = "F11-bed-1", 3  # after the cover and the list of sheets comes the frame
CUT_WALL = "D-01"  # a gable: skew studs, raked boards, notches
DOTS_PER_INCH = 100
FRAME = ("90", "44", "1140", "755")  # left, top, width, height of the drawing alone, in dots
BARS, BOARDS, LABELS = ("90", "44", "1140", "500"), ("90", "44", "770", "620"), ("0", "0", "827", "290")


def picture(target: Path, pdf: bytes, page: int, part: tuple[str, str, str, str]) -> None:
    """A part of a page as a grey picture."""
    with TemporaryDirectory() as scratch:
        path = Path(scratch) / "paper.pdf"
        path.write_bytes(pdf)
        crop = [word for pair in zip(("-x", "-y", "-W", "-H"), part, strict=True) for word in pair]
        which = ["-f", str(page), "-l", str(page), "-singlefile", "-gray", *crop]
        subprocess.run(["pdftoppm", "-png", "-r", str(DOTS_PER_INCH), *which, path, target], check=True)
    print(f"{target}.png")


def title_of(planned: Planned) -> TitleBlock:
    """The title block of the demo."""
    job = planned.job
    return TitleBlock(project=job.name, firm=job.firm, place=job.site_place)


def main(folder: Path) -> None:
    """Plan two walls of the demo and turn their papers into pictures."""
    planned = plan_job(JOB, only=[WALL])
    picture(folder / "elevation", sheets_pdf(planned.plans, planned.practice, title_of(planned)), PAGE, FRAME)
    planned = plan_job(JOB, only=[CUT_WALL])
    rules = planned.practice.rules
    cut = cut_list(planned.plans, planned.takeoff, rules)
    for name, bars, boards, part in (
        ("cut-bars", cut.bars, (), BARS),
        ("cut-boards", (), cut.boards, BOARDS),
    ):
        pages = cut_pages(drawn_sheets(bars, boards))
        picture(folder / name, set_pdf(pages, [], title_of(planned)), 1, part)
    labels = labels_of(planned.plans, cut)[:6]
    picture(folder / "labels", labels_pdf(labels, LabelSheet.of(rules), title_of(planned)), 1, LABELS)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
