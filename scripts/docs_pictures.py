"""Draw the pictures of README.md from the demo: `docs_pictures.py docs/img` (needs pdftoppm)."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from innerleaf.documents.pdf import sheets_pdf
from innerleaf.documents.title import TitleBlock
from innerleaf.pipeline import plan_job

WALL, PAGE = "F11-bed-1", 3  # after the cover and the list of sheets comes the frame
DOTS_PER_INCH = 100
CROP = ("-x", "90", "-y", "44", "-W", "1140", "-H", "755")  # the drawing alone, without the title block


def main(folder: Path) -> None:
    """Plan one wall of the demo and turn its frame sheet into a picture."""
    planned = plan_job(Path("examples/demo/job.yaml"), only=[WALL])
    title = TitleBlock(project=planned.job.name, firm=planned.job.firm, place=planned.job.site_place)
    with TemporaryDirectory() as scratch:
        pdf = Path(scratch) / "sheets.pdf"
        pdf.write_bytes(sheets_pdf(planned.plans, planned.practice, title))
        page = ["-f", str(PAGE), "-l", str(PAGE), "-singlefile", "-gray", *CROP]
        target = folder / "elevation"
        subprocess.run(["pdftoppm", "-png", "-r", str(DOTS_PER_INCH), *page, pdf, target], check=True)
    print(f"{target}.png")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
