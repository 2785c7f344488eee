"""Reading a file of rates: the one of the practice set, with a firm's own laid over it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from pathlib import Path
from typing import Any, Final, Literal, get_args, get_origin, get_type_hints

from innerleaf.errors import FileFaults, InputError
from innerleaf.practice import rates as model
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import PriceList
from innerleaf.reading import Place, Text, read_file

_HEAD: Final = ("source", "currency", "date")
_DATE: Final = re.compile(r"[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])\Z")


@dataclass(frozen=True, slots=True)
class _Section:
    """What an entry is, which there are (none named: any), and whether a firm's section replaces it whole."""

    cls: type
    known: tuple[str, ...] = ()
    every: bool = False
    whole: bool = False


def _sections(practice: Practice) -> dict[str, _Section]:
    return {
        "people": _Section(model.Figure, (model.JOINTER,), every=True),
        "crew": _Section(model.InCrew, model.PEOPLE, every=True),
        "work": _Section(model.FurtherWork, tuple(model.Extra), every=True),
        "kinds": _Section(model.Times),
        "drilling": _Section(model.Times, tuple(sorted(practice.materials))),
        "figures": _Section(model.Figure, tuple(model.FIGURES), every=True),
        "plant": _Section(model.SiteCost, whole=True),
        "preliminaries": _Section(model.SiteCost, whole=True),
        "waste": _Section(model.Disposal, whole=True),
        "markups": _Section(model.MarkUp, ("overhead", "margin"), every=True),
        "risk": _Section(model.RiskAllowance, whole=True),
        "vat": _Section(model.Vat, whole=True),
        "payments": _Section(model.Stage, whole=True),
        "spread": _Section(model.Spread, model.SPREADS, every=True),
        "texts": _Section(model.Texts, model.TEXTS, whole=True),
    }


def load_rates(practice: Practice, prices: PriceList, own: Path | None = None) -> model.FirmRates:
    """The rates of a practice set with a firm's own file over them; basic minutes come from the price list.

    Raises
    ------
    FileFaults
        A file cannot be read or says what cannot be used; all faults, each with file, line and column.
    """
    reader = _Reader(practice)
    for path in filter(None, (Path(__file__).parent / practice.id / "rates.yaml", own)):
        reader.take(read_file(path).checked())
    said = reader.finished()
    if said["currency"] != prices.currency:
        accepted = f"{prices.currency}, the currency of the price list"
        reader.refuse(("currency",), given=said["currency"], accepted=accepted)
    if reader.faults:
        raise FileFaults(reader.faults)
    jointer = said.pop("people")[model.JOINTER]
    basic = {each.value: (it.fitter, it.helper, it.source) for each, it in prices.work.items()}
    further = {name: (it.fitter, it.helper, it.source) for name, it in said.pop("work").items()}
    return model.FirmRates(
        labour={**prices.rates, model.JOINTER: jointer.value},
        labour_source=f"{prices.source}; jointer: {jointer.source}",
        minutes={**basic, **further},
        **said,
    )


class _Reader:
    """Takes files apart, the later over the earlier; everything wrong goes into ``faults``."""

    def __init__(self, practice: Practice) -> None:
        self.sections = _sections(practice)
        self.said: dict[str, Any] = {}
        self.texts: dict[Place, Text] = {}
        self.faults: list[str] = []
        self.last: Text | None = None

    def take(self, text: Text) -> None:
        """Lay one file over what was said before."""
        self.last = text
        for name, body in self._group((), text.value, (*_HEAD, *self.sections)):
            self.texts[name,] = text
            if name in _HEAD:
                self._head(name, body)
                continue
            section = self.sections[name]
            if section.whole:
                self.said[name] = {}
            entries = self.said.setdefault(name, {})
            for key, fields_given in self._group((name,), body, section.known):
                self.texts[name, key] = text
                entries[key] = self._entry(section.cls, (name, key), fields_given)

    def finished(self) -> dict[str, Any]:
        """Everything said; what is missing or does not go together is a fault."""
        for name in (*_HEAD, *self.sections):
            if name not in self.said:
                self.refuse((name,), given=None, accepted="this section; it is missing")
        for name, section in self.sections.items():
            for key in section.known if section.every else ():
                if key not in self.said.get(name, {}):
                    self.refuse((name, key), given=None, accepted="an entry; it is missing")
        if not self.faults:
            self._together()
        if self.faults:
            raise FileFaults(self.faults)
        return self.said

    def refuse(self, place: Place, *, given: object, accepted: str) -> None:
        """Note a fault at a place of the file that said it last."""
        text = next(
            (self.texts[place[:n]] for n in range(len(place), 0, -1) if place[:n] in self.texts), None
        )
        text = text or self.last
        assert text is not None
        sentence = str(InputError(".".join(map(str, place)) or "the file", given=given, accepted=accepted))
        self.faults.append(text.line(place, sentence, key=True))

    def _head(self, name: str, body: Any) -> None:
        good = isinstance(body, str) and bool(body.strip()) and (name != "date" or bool(_DATE.match(body)))
        if not good:
            accepted = "a day such as 2026-01-15" if name == "date" else "a text that is not empty"
            self.refuse((name,), given=body, accepted=accepted)
        self.said[name] = str(body).strip()

    def _group(self, place: Place, body: Any, known: tuple[str, ...]) -> list[tuple[str, Any]]:
        if not isinstance(body, dict):
            self.refuse(place, given=body, accepted="a group of names and values")
            return []
        for key in body:
            if known and key not in known:
                self.refuse((*place, key), given=key, accepted=", ".join(known))
        return [(key, value) for key, value in body.items() if not known or key in known]

    def _entry(self, cls: type, place: Place, given: Any) -> Any:
        """An entry made of what is given; None with its faults noted."""
        hints = get_type_hints(cls)
        shape = {field.name: field for field in fields(cls)[1:]}
        before = len(self.faults)
        values: dict[str, Any] = {"id": place[-1]}
        for key, value in self._group(place, given, tuple(shape)):
            try:
                values[key] = _value(hints[key], key, value)
            except InputError as error:
                self.refuse((*place, key), given=value, accepted=error.accepted)
        for name, field in shape.items():
            if field.default is MISSING and isinstance(given, dict) and name not in given:
                self.refuse((*place, name), given=None, accepted="a value; it is missing")
        return cls(**values) if len(self.faults) == before else None

    def _together(self) -> None:
        """What single values cannot show."""
        for name, figure in self.said["figures"].items():
            unit, low, high = model.FIGURES[name]
            if not low <= figure.value <= high:
                accepted = f"{low:.12g} to {high:.12g} {unit}"
                self.refuse(("figures", name, "value"), given=figure.value, accepted=accepted)
        for name, mark in self.said["markups"].items():
            if mark.of == "price" and mark.percent >= 100:
                self.refuse(
                    ("markups", name, "percent"), given=mark.percent, accepted="below 100 % of the price"
                )
        paid = sum(stage.percent for stage in self.said["payments"].values())
        if abs(paid - 100) > 1e-9:
            self.refuse(("payments",), given=f"{paid:g} %", accepted="stages that make 100 % together")
        for name, spread in self.said["spread"].items():
            if not -100 <= spread.low <= 0 <= spread.high:
                accepted = "low from -100 to 0 and high 0 or more"
                self.refuse(("spread", name), given=f"{spread.low:g} to {spread.high:g}", accepted=accepted)
        for name, crew in self.said["crew"].items():
            if crew.people <= 0:
                self.refuse(("crew", name, "people"), given=crew.people, accepted="above 0")
        self._nothing_twice(self.said["waste"])
        if not self.said["vat"]:
            self.refuse(("vat",), given="no rate", accepted="one rate at least")

    def _nothing_twice(self, waste: Mapping[str, model.Disposal]) -> None:
        seen: dict[str, str] = {}
        for name, disposal in waste.items():
            for group in disposal.groups:
                if group not in model.GROUPS:
                    self.refuse(("waste", name, "groups"), given=group, accepted=", ".join(model.GROUPS))
                elif group in seen:
                    accepted = f"a group once; it is in {seen[group]} already"
                    self.refuse(("waste", name, "groups"), given=group, accepted=accepted)
                seen.setdefault(group, name)


def _value(hint: Any, field: str, given: Any) -> Any:
    if get_origin(hint) is Literal:
        if given not in get_args(hint):
            raise InputError(field, given=given, accepted=", ".join(get_args(hint)))
        return given
    if get_origin(hint) is tuple:
        good = isinstance(given, list) and all(isinstance(one, str) and one.strip() for one in given)
        if not good:
            raise InputError(field, given=given, accepted="a list of texts, none empty")
        return tuple(one.strip() for one in given)
    if hint is str:
        if not isinstance(given, str) or not given.strip() or (field == "since" and not _DATE.match(given)):
            accepted = "a day such as 2026-01-15" if field == "since" else "a text that is not empty"
            raise InputError(field, given=given, accepted=accepted)
        return given.strip()
    return _number(field, given)


def _number(field: str, given: Any) -> float:
    low = -100.0 if field == "low" else 0.0
    high = {"percent": 1000.0, "done_percent": 100.0, "times": 100.0, "people": 100.0}.get(field, 1e7)
    good = isinstance(given, int | float) and not isinstance(given, bool) and low <= given <= high
    if not good:
        raise InputError(field, given=given, accepted=f"a number from {low:g} to {high:.12g}")
    return float(given)
