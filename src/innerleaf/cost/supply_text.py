"""Supply lists written as files that read back to the same values."""

from __future__ import annotations

import json

from innerleaf.cost.supply import Offer, Supply
from innerleaf.practice.measures import measure_of
from innerleaf.practice.model import Practice


def supply_text(supply: Supply, practice: Practice, head: str) -> str:
    """A supply list as a file that reads back to the same values; ``head`` is a comment above it."""
    lines = [*(f"# {line}" for line in head.splitlines())]
    lines += ["format: 1", f"source: {_quoted(supply.source)}", f"currency: {supply.currency}"]
    lines += [f"date: {_quoted(supply.date)}", "", "suppliers:" if supply.suppliers else "suppliers: {}"]
    for supplier in supply.suppliers.values():
        parts = {
            "charge": _money(supplier.charge),
            "free_from": _money(supplier.free_from),
            "least_order": _money(supplier.least_order),
            "most_kg": f"{supplier.most_kg:.10g}",
        }
        lines.append(f"  {_quoted(supplier.name)}: {_flow(parts)}")
    lines += ["", "offers:" if supply.offers else "offers: []"]
    lines += [f"  - {_flow(_offer_parts(offer, practice))}" for offer in supply.offers]
    if supply.stand_ins:
        lines += ["", "stand_ins:"]
        for article, stand_in in supply.stand_ins.items():
            by = f"[{', '.join(stand_in.by)}]"
            lines.append(f"  {article}: {_flow({'by': by, 'source': _quoted(stand_in.source)})}")
    if supply.phases:
        lines += ["", "phases:", f"  source: {_quoted(supply.phases_source)}"]
        lines += [f"  {_quoted(name)}: [{', '.join(groups)}]" for name, groups in supply.phases.items()]
    if supply.joining:
        rule = supply.joining
        parts = {
            "up_to": _money(rule.up_to),
            "waiting_kg": f"{rule.waiting_kg:.10g}",
            "lead_days": str(rule.lead_days),
            "source": _quoted(rule.source),
        }
        lines += ["", f"joining: {_flow(parts)}"]
    return "\n".join(lines) + "\n"


def _offer_parts(offer: Offer, practice: Practice) -> dict[str, str]:
    measure = measure_of(practice, offer.article)
    rolls = measure is not None and not measure.by_length and measure.unit == "mm"
    parts = {"article": offer.article}
    if offer.length_mm:
        parts["length"] = str(offer.length_mm)
    parts |= {"supplier": _quoted(offer.supplier), "code": _quoted(offer.code)}
    parts |= {"pack": f"{offer.pack / (1000 if rolls else 1):.12g}", "pack_name": _quoted(offer.pack_name)}
    parts |= {"price": _money(offer.prices[0].price), "per": "pack"}
    if len(offer.prices) > 1:
        steps = (f"{{packs: {step.packs}, price: {_money(step.price)}}}" for step in offer.prices[1:])
        parts["breaks"] = f"[{', '.join(steps)}]"
    if offer.least_packs > 1:
        parts["least_packs"] = str(offer.least_packs)
    parts["lead_days"] = str(offer.lead_days)
    if offer.valid_until:
        parts["valid_until"] = _quoted(offer.valid_until)
    if offer.pack_kg:
        parts["pack_kg"] = f"{offer.pack_kg:.10g}"
    if offer.note:
        parts["note"] = _quoted(offer.note)
    return parts


def _flow(parts: dict[str, str]) -> str:
    return f"{{{', '.join(f'{key}: {value}' for key, value in parts.items())}}}"


def _money(amount: int) -> str:
    return f"{amount // 100}.{amount % 100:02d}"


def _quoted(words: str) -> str:
    """A text in double quotes, which is YAML as it is JSON."""
    return json.dumps(words, ensure_ascii=False)
