"""A page made of a template and its words."""

from __future__ import annotations

import json
import re
from html import escape, unescape
from typing import Any, Final

from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, select_autoescape
from markupsafe import Markup

from innerleaf import __version__
from innerleaf.units import show_bare, show_column, show_figure, show_length, show_sentence
from innerleaf.web.manner import manner
from innerleaf.web.static_files import with_digest
from innerleaf.web.words import languages, words_of

_AWAY: Final = "site"  # pages that a device keeps for where there is no signal, with files by plain addresses

_templates = Environment(
    loader=PackageLoader("innerleaf.web"),
    autoescape=select_autoescape(default=True, default_for_string=True),
    trim_blocks=True,
    lstrip_blocks=True,
)


def page(template: str, *, status: int = 200, **values: Any) -> HTMLResponse:
    """A page; its template has the words and the data of its script beside the values."""
    now = manner()
    words = words_of(now.language)
    made = _templates.get_template(f"{template}.html").render(
        t=words,
        version=__version__,
        language=words.language,
        languages=languages(),
        manner=now,
        data=_data,
        **values,
    )
    if not template.startswith(_AWAY):
        made = with_digest(made)
    return HTMLResponse(made, status_code=status)


def length(mm: float) -> str:
    """A length without its unit where it is in millimetres, as whoever asks reads it."""
    return show_length(mm, manner().unit, with_unit=False)


def measure(mm: float) -> str:
    """A length with its unit, as whoever asks reads it."""
    return show_length(mm, manner().unit)


def sentence(text: object) -> object:
    """A text with its lengths and other measures as whoever asks reads them."""
    return show_sentence(text, manner().unit) if isinstance(text, str) else text


def figure(value: float, unit: str, digits: int = 3) -> str:
    """A figure with its unit, as whoever asks reads it."""
    return show_figure(value, unit, manner().unit, digits=digits)


def drawing(svg: str) -> str:
    """A drawing whose dimensions are written as whoever asks reads them."""
    unit = manner().unit
    if unit == "mm":
        return svg
    return _WORDS.sub(lambda found: f"{found[1]}{escape(show_bare(unescape(found[2]), unit))}<", svg)


_WORDS: Final = re.compile(r"(<text\b[^>]*>)([^<]+)<")
_templates.filters |= {"mm": length, "measure": measure, "sentence": sentence}
_templates.globals |= {"figure": figure, "in_unit": lambda name: show_column(name, manner().unit)}


def _data(value: Any) -> Markup:
    """A value for a script of the page, safe inside its element."""
    text = json.dumps(value, ensure_ascii=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)  # noqa: S704 - no sign is left that HTML knows
