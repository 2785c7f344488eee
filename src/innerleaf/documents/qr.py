"""QR codes (ISO/IEC 18004) as drawings: the one place that knows the library that makes them."""

from __future__ import annotations

from collections.abc import Sequence

QUIET = 4  # clear modules round a code (from memory: ISO/IEC 18004 asks for four)
_MASK = 3  # any of the eight may be read; trying them all takes five times as long

Modules = tuple[tuple[bool, ...], ...]


def code_of(words: str) -> Modules:
    """The modules of a code that says ``words``, row by row from the top; True is dark.

    Error correction M: 15 % of the code may be dirty (from memory: ISO/IEC 18004).
    """
    import segno

    code = segno.make_qr(words, error="m", boost_error=False, mask=_MASK)
    return tuple(tuple(module == 1 for module in row) for row in code.matrix)


def code_path(modules: Sequence[Sequence[bool]]) -> str:
    """A code as SVG path data in units of its modules, y down: dark rectangles, none over another.

    >>> code_path([[True, True], [True, True], [False, True]])
    'M0 0h2v2h-2zM1 2h1v1h-1z'
    """
    size = len(modules[0])
    waiting = [list(row) for row in modules]
    parts: list[str] = []
    for y, row in enumerate(waiting):
        x = 0
        while x < size:
            if not row[x]:
                x += 1
                continue
            end = x
            while end < size and row[end]:
                end += 1
            low = y + 1
            while low < len(waiting) and all(waiting[low][x:end]):
                waiting[low][x:end] = [False] * (end - x)
                low += 1
            parts.append(f"M{x} {y}h{end - x}v{low - y}h{x - end}z")
            x = end
    return "".join(parts)
