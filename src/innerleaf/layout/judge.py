"""Rules the finished layout could not keep: each a finding with its place, the miss and a remedy."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from innerleaf.findings import Finding
from innerleaf.layout.boards import Boarding, box_of, holes_through
from innerleaf.layout.grid import PanelGrid
from innerleaf.layout.pieces import Member, Ring
from innerleaf.layout.setting import Setting
from innerleaf.layout.zone import Zone, spans_over
from innerleaf.survey.damp import damp_findings
from innerleaf.survey.wall import Meets


def judge(
    setting: Setting, zone: Zone, grids: Sequence[PanelGrid], members: Sequence[Member], boarding: Boarding
) -> list[Finding]:
    """Findings about vertical joints, strips, boxes, loads and open questions."""
    return [
        *_joints(setting, zone, grids),
        *_strips(setting, boarding),
        *_low_pieces(setting, boarding),
        *_slight_pieces(setting, boarding),
        *_corners(setting, zone),
        *_holes(setting, zone, members),
        *_loads(setting, zone),
        *damp_findings(setting.wall, setting.rules),
        *_questions(setting),
    ]


def _joints(setting: Setting, zone: Zone, grids: Sequence[PanelGrid]) -> list[Finding]:
    rules, wall = setting.rules, setting.wall
    found = []
    jambs = [(b.id, x) for b in zone.faces if b.opening for x in (b.x0, b.x1)]
    for grid in grids:
        panel = grid.panel
        for layer, joints in enumerate(grid.joints, 1):
            for x in joints:
                for of, jamb in jambs:
                    if panel.x0 < jamb < panel.x1 and abs(x - jamb) < rules.jamb_clear_mm:
                        found.append(
                            Finding(
                                code="L201",
                                wall=wall.id,
                                rule="jamb_clear_mm",
                                text=f"joint {abs(x - jamb)} mm from the jamb of {of}",
                                remedy="reinforce the joint over its whole height, or accept",
                                x_mm=x,
                                layer=layer,
                                by_mm=rules.jamb_clear_mm - abs(x - jamb),
                            )
                        )
            found += [
                Finding(
                    code="L204",
                    wall=wall.id,
                    rule="layer_joint_offset_min_mm",
                    text=f"joint {abs(x - other)} mm from the joint of layer {layer - 1}",
                    remedy="glue the layers along the joint, or accept",
                    x_mm=x,
                    layer=layer,
                    by_mm=setting.layer_offset_mm - abs(x - other),
                )
                for x in (joints if layer > 1 else ())
                for other in grid.joints[layer - 2]
                if abs(x - other) < setting.layer_offset_mm
            ]
    return found


def _strips(setting: Setting, boarding: Boarding) -> list[Finding]:
    """Pieces narrower than a strip should be; of several in one column the lowest is told."""
    rules = setting.rules
    narrow: dict[tuple[int, float], tuple[float, float]] = {}
    for piece in boarding.pieces:
        left, low, right, _ = box_of(piece.ring)
        if right - left < rules.strip_min_mm:
            narrow.setdefault((piece.layer, left), (low, right - left))
    return [
        Finding(
            code="L203",
            wall=setting.wall.id,
            rule="strip_min_mm",
            text=f"strip of {width:.0f} mm",
            remedy="accept, or let the neighbouring board be cut as well",
            x_mm=left,
            y_mm=low,
            layer=layer,
            by_mm=rules.strip_min_mm - width,
        )
        for (layer, left), (low, width) in narrow.items()
    ]


def _low_pieces(setting: Setting, boarding: Boarding) -> list[Finding]:
    """Pieces between a cross joint and an opening or step that are lower than a piece should be."""
    least, found = setting.rules.piece_height_min_mm, []
    told = {(f.layer, f.x_mm) for f in boarding.findings if f.code == "L206"}
    for piece in boarding.pieces:
        left, low, right, high = box_of(piece.ring)
        divided = any(
            c.layer == piece.layer and c.y in (low, high) and c.left < right and left < c.right
            for c in boarding.cross_joints
        )
        if (
            divided
            and high - low < least
            and not any(k == piece.layer and left <= x <= right for k, x in told)
        ):
            found.append(
                Finding(
                    code="L206",
                    wall=setting.wall.id,
                    rule="piece_height_min_mm",
                    text=f"{piece.mark} is {high - low:.0f} mm high",
                    remedy="buy longer boards, or back and reinforce the joint",
                    x_mm=left,
                    y_mm=low,
                    layer=piece.layer,
                    by_mm=least - (high - low),
                )
            )
    return found


def _slight_pieces(setting: Setting, boarding: Boarding) -> list[Finding]:
    """Limbs of notched boards that break when lifted, and strips too low for a stud behind them."""
    rules, found = setting.rules, []
    for piece in boarding.pieces:
        if len(piece.ring) == 4 and not piece.holes and piece.length_mm >= rules.cripple_min_mm:
            continue  # a plain strip: judged by its width
        rings = (piece.ring, *piece.holes)
        if any(a[0] != b[0] and a[1] != b[1] for r in rings for a, b in zip(r, r[1:] + r[:1], strict=True)):
            continue  # a raked piece tapers to nothing by its nature
        turned = [tuple((y, x) for x, y in reversed(ring)) for ring in rings]
        for code, limb, least, rule, what, remedy in (
            ("L203", _narrowest(turned), rules.jamb_clear_mm, "jamb_clear_mm", "wide", _LIMB),
            ("L206", _narrowest(rings), rules.cripple_min_mm, "cripple_min_mm", "high", _LOW),
        ):
            if limb < least:
                left, low = min(piece.ring)
                found.append(
                    Finding(
                        code=code,
                        wall=setting.wall.id,
                        rule=rule,
                        text=f"{piece.mark} has a part only {limb:.0f} mm {what}",
                        remedy=remedy,
                        x_mm=left,
                        y_mm=low,
                        layer=piece.layer,
                        by_mm=least - limb,
                    )
                )
    return found


_LIMB = "cut the part as a piece of its own and fix it on both sides, or carry the board with care"
_LOW = "screw it to the track or glue it: no stud stands behind it"


def _narrowest(rings: Sequence[Ring]) -> float:
    """The least height of a piece over any plumb strip between its corners."""
    cuts = sorted({x for ring in rings for x, _ in ring})
    return min(high - low for a, b in pairwise(cuts) for low, high in spans_over(rings, a, b))


def _corners(setting: Setting, zone: Zone) -> list[Finding]:
    """Ends where the lining goes on round a corner: what the next wall has to allow for this one."""
    deep, packet = setting.build_up.total_mm, setting.build_up.packet_mm
    found = []
    for x, low, _, _, meets in zone.uprights():
        if meets == Meets.OUTER_CORNER:
            text = f"lining {deep:g} mm thick goes on round the corner, set out to the old corner only"
            remedy = (
                f"carry one frame past the corner by the other lining's thickness; the next wall's boards"
                f" run {deep - packet:g} mm past the old corner and are covered by these"
            )
        elif meets == Meets.INNER_CORNER:
            text = f"lining {deep:g} mm thick meets the next wall's in the corner"
            remedy = f"let the first one built run through; shorten the other by {deep:g} mm of this one"
        else:
            continue
        found.append(
            Finding(
                code="L106", wall=setting.wall.id, rule="corner", text=text, remedy=remedy, x_mm=x, y_mm=low
            )
        )
    return found


def _holes(setting: Setting, zone: Zone, members: Sequence[Member]) -> list[Finding]:
    """Boxes and pipes on a member, or where there is no board."""
    wall, clear, found = setting.wall, setting.rules.box_clear_of_member_mm, []
    for of, x, y, diameter in holes_through(setting):
        half = diameter / 2
        if not any(low + half <= y <= high - half for low, high in zone.clear(x - half, x + half)):
            found.append(
                Finding(
                    code="L403",
                    wall=wall.id,
                    rule="inside the boards",
                    text=f"{of} is not wholly on the lining",
                    remedy="move it, or leave it in the old wall",
                    x_mm=x,
                    y_mm=y,
                )
            )
        for member in members:
            reach = half + clear + member.face_mm / 2
            if abs(x - member.x_mm) < reach and member.bottom_mm < y + half and y - half < member.top_mm:
                by = reach - abs(x - member.x_mm)
                way = "right" if x >= member.x_mm else "left"
                found.append(
                    Finding(
                        code="L401",
                        wall=wall.id,
                        rule="box_clear_of_member_mm",
                        text=f"{of} meets {member.mark}",
                        remedy=f"move it {by:.0f} mm to the {way}",
                        x_mm=x,
                        y_mm=y,
                        by_mm=by,
                    )
                )
    return found


def _loads(setting: Setting, zone: Zone) -> list[Finding]:
    """Loads off the lining, or more than a free-standing or bracketed lining may carry without proof."""
    wall, limit, found = setting.wall, setting.rules.hung_load_max_n_m, []
    for load in wall.loads:
        spans = zone.clear(load.x_mm, load.x_mm + load.width_mm)
        if not any(low <= load.y_mm <= high for low, high in spans):
            found.append(
                Finding(
                    code="L402",
                    wall=wall.id,
                    rule="inside the lining",
                    text=f"{load.id} is not wholly on the lining",
                    remedy="move it, or hang it on the old wall",
                    x_mm=load.x_mm,
                    y_mm=load.y_mm,
                )
            )
        line_load = load.mass_kg * 9.81 / load.width_mm * 1000  # N per metre of wall
        if line_load > limit:
            found.append(
                Finding(
                    code="L402",
                    wall=wall.id,
                    rule="hung_load_max_n_m",
                    text=f"{load.id}: {line_load:.0f} N per metre of wall, {limit} N/m without proof",
                    remedy="carry it on a frame of its own or on the old wall; have it proved",
                    x_mm=load.x_mm,
                    y_mm=load.y_mm,
                    by_mm=0,
                )
            )
    return found


def _questions(setting: Setting) -> list[Finding]:
    return [
        Finding(
            code="L601",
            wall=setting.wall.id,
            rule="survey",
            text=question,
            remedy="answer it before anyone drills or closes the wall",
        )
        for question in setting.wall.questions
    ]
