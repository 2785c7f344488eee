"""Findings: a rule that could not be kept, where, by how much, and what to do about it.

A finding is not a failure. It travels with the plan to the drawing, the table and the record.
Each code has one line here and one paragraph in ``docs/findings.md``.
"""

from __future__ import annotations

from dataclasses import dataclass

FINDING_CODES: dict[str, str] = {
    "B101": "article without a price: in no sum",
    "C101": "article without a figure: linings that need it cannot be chosen",
    "C102": "no lining meets all targets: the closest was chosen",
    "F101": "member bends more than its finish bears",
    "F102": "moment above what a member plausibly bears",
    "F103": "hung load heavier than the lining may carry, its lever arm counted",
    "F104": "anchor or track fixing strained beyond what is declared for it",
    "F105": "post beside an opening too weak",
    "H101": "lining thicker than asked for",
    "H102": "U-value above the target",
    "H103": "surface colder than asked for: mould may grow there",
    "H104": "more water gathers inside the wall than allowed",
    "H105": "water stays inside the wall from year to year",
    "H106": "water gathers in the wall from year to year",
    "H107": "mould may grow behind the insulation",
    "H108": "wooden ends in the wall get too damp",
    "H109": "moisture asked for, but not followed through the years",
    "H110": "vapour control layer missing",
    "H111": "wall is damp: not to be lined until the cause is cured",
    "H112": "weather without driving rain",
    "L102": "member higher than its greatest height",
    "L103": "member could not be placed clear of another",
    "L105": "member reaches too little into the head track under a moving slab",
    "L106": "lining goes on round a corner: allow for its thickness",
    "L201": "board joint too close to the jamb of an opening",
    "L202": "cross joint too close to the head or sill of an opening",
    "L203": "strip of board narrower than the least strip",
    "L204": "joints of successive layers closer than the least offset",
    "L205": "cross joints of neighbouring boards closer than the least stagger",
    "L206": "piece of board shorter than the least height",
    "L301": "bracket cannot reach the wall",
    "L401": "box or pipe meets a member",
    "L402": "hung load outside the lining or above what the lining may carry",
    "L403": "box or obstacle outside the boards",
    "L501": "movement joint could not be placed clear of an opening",
    "L601": "existing wall must be dry, and surveyed, before lining",
    "P101": "too cold for joints",
    "P102": "too damp for joints",
    "P103": "dust of sanding beside a wet coat",
    "P104": "day that others wait for is missed",
    "P105": "boards too heavy for a crew of one",
    "P106": "more boards in one room than its floor bears in one place",
    "P107": "begun before its hold point was passed",
    "P108": "begun on a coat that was not dry",
    "S101": "sound gained by the lining below the target",
    "S102": "sound reduction of the lined wall below the target",
    "S103": "lining makes the wall worse around its resonance",
    "S104": "sound goes round the wall: flanks hold the gain back",
    "W101": "site record is not what was kept",
    "W102": "site record before another is not the one kept",
    "W103": "entries of a device are missing or out of their order",
    "W104": "clock of a device was wrong",
    "W105": "site record that a device had seen is gone",
    "W201": "checked value outside its tolerance",
    "W202": "work done past an open hold point",
    "W203": "hold point passed or released by whom it does not count",
    "W204": "hold point passed, a check before it not made",
    "W205": "check judged otherwise than the practice does",
    "W301": "edge of a board at a joint without a member behind it",
    "W302": "what is built is in the way of what was found",
    "W303": "site record speaks of what is not known",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A rule not kept (or a caution), with its place.

    ``x_mm, y_mm`` count from the wall's datum; ``by_mm`` is how far the rule is missed (0 where a
    distance has no meaning).
    """

    code: str
    wall: str
    rule: str
    text: str
    remedy: str
    x_mm: float = 0
    y_mm: float = 0
    layer: int = 0
    by_mm: float = 0

    def __str__(self) -> str:
        layer = f", layer {self.layer}" if self.layer else ""
        return (
            f"{self.code} · wall {self.wall}{layer}, x = {self.x_mm:.0f} mm, y = {self.y_mm:.0f} mm"
            f" · {self.text} · {self.remedy}"
        )
