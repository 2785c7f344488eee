"""Write the invented site records of the demo: three walls, two photos, a document; all of it made up.

Run it again after the layout of these walls has changed: `python scripts/demo_records.py`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from PIL import Image, ImageDraw

from innerleaf import pipeline
from innerleaf.layout.pieces import WallPlan
from innerleaf.practice.model import Practice
from innerleaf.site.checks import Due, checks_of, judge
from innerleaf.site.records import Entry, Kind, Record, seal
from innerleaf.site.records_file import records_text
from innerleaf.site.steps import steps_of

DEMO = Path(__file__).parents[1] / "examples" / "demo"
SITE = DEMO / "site"
STATEMENT = "Building, firm, people, records and photos of this pack are invented."
JOB = "old-chandlery-invented"
FOREMAN, INSPECTOR = ("Ida Quarrel (invented)", "foreman"), ("Bo Larch (invented)", "inspector")
FITTER = ("Tam Finch (invented)", "installer")
BEGIN = datetime(2026, 3, 2, 7, 0, tzinfo=UTC)
_A_DAY = 17  # records, from seven to three
GOOD: Mapping[str, float] = {
    "off_mm": 3,
    "over_mm": 2000,
    "gap_mm": 4,
    "temperature_c": 16,
    "humidity_percent": 55,
    "waited_h": 30,
}
MOVED, MOVED_TO = "G-02/S07", 3640  # a cable that nobody knew of lay behind it


@dataclass
class Chain:
    """Records in the order in which one tablet wrote them, half an hour apart."""

    records: list[Record] = field(default_factory=list)

    def add(self, who: tuple[str, str], entry: Entry) -> Entry:
        """Keep an entry of a person and give it back with its id."""
        number = len(self.records) + 1
        days, turn = divmod(number - 1, _A_DAY)
        at = BEGIN + timedelta(days=days, minutes=30 * turn)
        last = self.records[-1] if self.records else None
        name = uuid5(NAMESPACE_URL, f"innerleaf demo record {number}")
        whole = replace(
            entry,
            id=str(name),
            sequence=number,
            before=last.entry.digest if last else "",
            seen=last.digest if last else "",
            device_time=at.isoformat(),
        )
        self.records.append(
            seal(
                whole,
                job=JOB,
                number=number,
                before=last.digest if last else "",
                who=who[0],
                role=who[1],
                server_time=at + timedelta(seconds=4),
                clock_off_s=2,
            )
        )
        return whole


def entry(kind: Kind, wall: str, what: str, **more: object) -> Entry:
    """An entry of the demo's tablet, its place in the chain still to be given."""
    device = str(uuid5(NAMESPACE_URL, "innerleaf demo tablet"))
    told = {"id": "", "device": device, "sequence": 0, "before": "", "device_time": ""}
    return Entry(**told, kind=kind, wall=wall, what=what, **more)  # type: ignore[arg-type]


def checked(due: Due, wall: str, change: Mapping[str, float], **more: object) -> Entry:
    """A check with good values but for ``change``."""
    names = [name for ask in due.asks for name in (ask.name, ask.over) if name]
    limits = {ask.name: ask.limit for ask in due.asks}
    values = {
        name: change.get(name, GOOD.get(name, 1.0 if name.endswith("_yes") else limits.get(name, 0.0)))
        for name in names
    }
    judged = judge(due, values)
    return entry(
        Kind.CHECK,
        wall,
        due.check,
        mark=due.step,
        values=tuple(sorted(values.items())),
        judged=judged,
        **more,
    )


def work_on(chain: Chain, plan: WallPlan, practice: Practice, photos: Mapping[str, str]) -> None:
    """A wall from marking out to priming, with what went otherwise."""
    wall, dues = plan.wall.id, checks_of(plan, practice)
    for step in steps_of(plan):
        if step == "board layer 1":
            told = entry(Kind.HOLD, wall, "close-up inspection", outcome="passed")
            chain.add(INSPECTOR, told)
        if step == "tape" and wall == "F11-bath-1":
            reason = "inspector ill; looked at by two of us, photos taken"
            told = entry(Kind.HOLD, wall, "boards before jointing", outcome="released", text=reason)
            chain.add(FOREMAN, told)
        elif step == "tape":
            chain.add(INSPECTOR, entry(Kind.HOLD, wall, "boards before jointing", outcome="passed"))
        if step == "prime":
            chain.add(INSPECTOR, entry(Kind.HOLD, wall, "finish inspection", outcome="passed"))
        if step == "frame" and wall == "G-02":
            move(chain, photos["tape"])
        chain.add(FITTER, entry(Kind.DONE, wall, step))
        for due in (one for one in dues if one.step == step):
            for one in check(due, wall, photos):
                made = chain.add(FITTER, one)
                answer(chain, made)


def move(chain: Chain, photo: str) -> None:
    """A stud stands 35 mm aside, and the foreman takes that on."""
    text = "a live cable in the old wall, not on any drawing"
    told = entry(
        Kind.DEVIATION,
        "G-02",
        "stud moved",
        mark=MOVED,
        values=(("x_mm", float(MOVED_TO)),),
        text=text,
        photos=(photo,),
    )
    made = chain.add(FITTER, told)
    reason = "boards re-cut to the new stud; cable traced and written on the wall"
    chain.add(FOREMAN, entry(Kind.ACCEPTED, "G-02", "stud moved", about=made.id, text=reason))


def check(due: Due, wall: str, photos: Mapping[str, str]) -> Iterator[Entry]:
    """One check, or two where the first is missed and mended."""
    if (wall, due.check) == ("G-02", "stud-spacing"):
        yield checked(due, wall, {"spacing_mm": 640}, text="at the moved stud")
    elif (wall, due.check) == ("G-03", "flatness"):
        yield checked(due, wall, {"gap_mm": 9}, text="board edge proud at x 2950")
    elif (wall, due.check) == ("F11-bath-1", "insulation"):
        yield checked(due, wall, {}, photos=(photos["wool"],))
    else:
        yield checked(due, wall, {})


def answer(chain: Chain, made: Entry) -> None:
    """What becomes of a missed check: accepted, or mended and checked again."""
    if made.met is not False:
        return
    if made.wall == "G-02":
        reason = "640 mm at one bay only, two layers of board; agreed with the inspector on site"
        chain.add(FOREMAN, entry(Kind.ACCEPTED, made.wall, made.what, about=made.id, text=reason))
        return
    values = tuple((name, 5.0 if name == "gap_mm" else value) for name, value in made.values)
    again = tuple(replace(one, value=5.0) for one in made.judged)
    text = "screws taken back, stud packed, board screwed again"
    chain.add(FITTER, replace(made, values=values, judged=again, text=text, about=made.id))


def photo(title: str, seed: int, *, wool: bool) -> bytes:
    """A drawn stand-in for a photo: studs before an old wall, a tape or wool between them."""
    picture = Image.new("RGB", (1600, 1200), (176, 158, 138))
    draw = ImageDraw.Draw(picture)
    for row in range(0, 1200, 75):
        for brick in range(-1, 12):
            x = brick * 150 + (75 if row // 75 % 2 else 0)
            shade = (x * 7 + row * 13 + seed) % 36
            draw.rectangle((x + 3, row + 3, x + 147, row + 72), fill=(150 + shade, 92 + shade // 2, 74))
    for stud in range(3):
        x = 220 + stud * 560 + (60 if stud == 1 and not wool else 0)
        if wool and stud < 2:
            draw.rectangle((x + 60, 0, x + 560, 1200), fill=(214, 186, 92))
            for line in range(0, 1200, 26):
                draw.line((x + 60, line, x + 560, line + 9), fill=(196, 166, 76), width=3)
        draw.rectangle((x, 0, x + 60, 1200), fill=(198, 202, 206))
        draw.rectangle((x + 44, 0, x + 60, 1200), fill=(150, 155, 160))
    if not wool:
        draw.rectangle((220, 700, 1460, 742), fill=(240, 214, 40))
        for mark in range(220, 1460, 31):
            draw.line((mark, 700, mark, 722), fill=(20, 20, 20), width=3)
    draw.rectangle((0, 1120, 1600, 1200), fill=(255, 255, 255))
    draw.text((30, 1135), title, fill=(0, 0, 0), font_size=44)
    made = BytesIO()
    picture.save(made, "JPEG", quality=82, optimize=True)
    return made.getvalue()


def main() -> None:
    """Write everything under examples/demo/site."""
    planned = pipeline.plan_job(DEMO / "job.yaml", only=("G-02", "G-03", "F11-bath-1"))
    pictures = {
        "tape": photo("drawn, invented: stud S07 of wall G-02 at 3640", 5, wool=False),
        "wool": photo("drawn, invented: wool behind wall F11-bath-1", 11, wool=True),
    }
    names = {}
    (SITE / "photos").mkdir(parents=True, exist_ok=True)
    for name, raw in pictures.items():
        (SITE / "photos" / f"{name}.jpg").write_bytes(raw)
        names[name] = hashlib.sha256(raw).hexdigest()
    chain = Chain()
    for plan in planned.plans:
        work_on(chain, plan, planned.practice, names)
    (SITE / "records.json").write_text(records_text(chain.records, statement=STATEMENT), encoding="utf-8")


if __name__ == "__main__":
    main()
