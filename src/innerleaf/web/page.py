"""A page made of a template and its words."""

from __future__ import annotations

import json
from typing import Any

from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, select_autoescape
from markupsafe import Markup

from innerleaf import __version__
from innerleaf.web.words import words_of

_templates = Environment(
    loader=PackageLoader("innerleaf.web"),
    autoescape=select_autoescape(default=True, default_for_string=True),
    trim_blocks=True,
    lstrip_blocks=True,
)


def page(template: str, *, status: int = 200, **values: Any) -> HTMLResponse:
    """A page; its template has the words and the data of its script beside the values."""
    words = words_of()
    made = _templates.get_template(f"{template}.html").render(
        t=words, version=__version__, language=words.language, data=_data, **values
    )
    return HTMLResponse(made, status_code=status)


def _data(value: Any) -> Markup:
    """A value for a script of the page, safe inside its element."""
    text = json.dumps(value, ensure_ascii=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)  # noqa: S704 - no sign is left that HTML knows
