"""What the files of a practice set say, entry by entry, and where they say it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Final

from innerleaf.errors import InputError
from innerleaf.reading import Place, Text

HEAD: Final = {"title": "a text", "display_unit": "mm or in"}


@dataclass(frozen=True, slots=True)
class Entry:
    """What the files say of one entry, and in which text and under which place each field stands."""

    text: Text
    place: Place
    fields: dict[str, Any]
    texts: dict[str, tuple[Text, Place]]

    def line(self, field: str, sentence: str, *, key: bool) -> str:
        """A line about a field (or its key), or about the entry where the field is not given."""
        if field in self.texts:
            text, place = self.texts[field]
            return text.line((*place, field), sentence, key=key)
        return self.text.line(self.place, sentence, key=True)

    def under(self, firm: Entry) -> Entry:
        """Lay the fields of a firm's entry over those of this one."""
        rest = "within the range of" if self.place[0] == "rules" else "the rest"
        said = {**self.fields, **firm.fields}
        if isinstance(said["source"], str):
            said["source"] = f"{said['source']}; {rest}: {self.fields.get('source')}"
        return replace(self, fields=said, texts={**self.texts, **firm.texts})


class Gathered:
    """Everything the files say, section by section, and the faults found so far."""

    def __init__(self, sections: tuple[str, ...]) -> None:
        self.entries: dict[str, dict[str, Entry]] = {section: {} for section in sections}
        self.head: dict[str, str] = {}
        self.firm = ""
        self.faults: list[str] = []

    def take_set(self, text: Text) -> None:
        """Take a file of the set itself."""
        for section, body in self._groups(text, (), text.value, ("practice", *self.entries)):
            if section == "practice":
                self._take_head(text, body)
                continue
            for key, entry in self._entries(text, (section,), body):
                if key in self.entries[section]:
                    self._refuse(text, (section, key), given=key, accepted="an id used once in the set")
                self.entries[section][key] = entry

    def take_firm(self, text: Text, apart: tuple[str, ...] = ()) -> None:
        """Lay a firm's file over what the set says; its sections that stand ``apart`` are read elsewhere."""
        body = dict(text.value) if isinstance(text.value, dict) else {}
        firm = body.pop("source", None)
        if not isinstance(firm, str) or not firm.strip():
            self._refuse(text, ("source",), given=firm, accepted="a text: where the firm's values come from")
            return
        self.firm = firm
        for section, part in self._groups(text, (), body, (*self.entries, *apart)):
            if section in self.entries:
                self._lay_over(text, (section,), part, firm)

    def take_changes(self, text: Text, place: Place, source: str) -> None:
        """Lay over what is said the sections that a firm's file holds at ``place``."""
        body = text.value
        for step in place:
            body = body[step]
        for section, part in self._groups(text, place, body, tuple(self.entries)):
            self._lay_over(text, (*place, section), part, source)

    def _lay_over(self, text: Text, place: Place, part: Any, source: str) -> None:
        section = str(place[-1])
        if section == "rules" and isinstance(part, dict):
            part = {rule: said if isinstance(said, dict) else {"value": said} for rule, said in part.items()}
        for key, entry in self._entries(text, place, part):
            entry.fields.setdefault("source", source)
            before = self.entries[section].get(key)
            if section == "rules" and not self._lawful(text, key, entry, before):
                continue
            self.entries[section][key] = before.under(entry) if before else entry

    def refuse(self, section: str, key: str, field: str, *, given: object, accepted: str) -> None:
        """Note a fault of one field of an entry."""
        error = InputError(".".join(filter(None, (section, key, field))), given=given, accepted=accepted)
        self.faults.append(self.entries[section][key].line(field, str(error), key=given == field))

    def _lawful(self, text: Text, rule: str, entry: Entry, before: Entry | None) -> bool:
        """Whether a firm may say this of a rule: its value and source, for a rule there is."""
        if before is None:
            accepted = "a rule of the practice set, as listed in docs/practice.md"
            self._refuse(text, ("rules", rule), given=rule, accepted=accepted)
            return False
        strange = [field for field in entry.fields if field not in ("value", "source")]
        for field in strange:
            self._refuse(text, ("rules", rule, field), given=field, accepted="value or source")
        return not strange

    def _take_head(self, text: Text, body: Any) -> None:
        for field, value in self._groups(text, ("practice",), body, tuple(HEAD)):
            good = isinstance(value, str) and bool(value.strip())
            if not good or (field == "display_unit" and value not in ("mm", "in")):
                self._refuse(text, ("practice", field), given=value, accepted=HEAD[field])
            self.head[field] = str(value)

    def _entries(self, text: Text, place: Place, body: Any) -> Iterator[tuple[str, Entry]]:
        for key, said in self._groups(text, place, body, ()):
            at = (*place, key)
            if isinstance(said, dict):
                yield key, Entry(text, at, dict(said), dict.fromkeys(said, (text, at)))
            else:
                self._refuse(text, at, given=said, accepted="a group of fields")

    def _groups(
        self, text: Text, place: Place, body: Any, known: tuple[str, ...]
    ) -> Iterator[tuple[str, Any]]:
        """Keys and values of a group; refuses what is no group, and keys not known if any are named."""
        if not isinstance(body, dict):
            self._refuse(text, place, given=body, accepted="a group of keys and values")
            return
        for key, value in body.items():
            if known and key not in known:
                self._refuse(text, (*place, key), given=key, accepted=", ".join(known))
            else:
                yield key, value

    def _refuse(self, text: Text, place: Place, *, given: object, accepted: str) -> None:
        field = ".".join(str(part) for part in place) or "the file"
        self.faults.append(text.line(place, str(InputError(field, given=given, accepted=accepted)), key=True))
