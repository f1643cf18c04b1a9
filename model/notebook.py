"""What a notebook shows of a result: one short table, everything escaped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

MOST_ROWS = 12


def shown_as_html(
    title: str,
    columns: Sequence[str],
    rows: Iterable[Sequence[object]],
    note: str = "",
    most: int = MOST_ROWS,
) -> str:
    """A table for a notebook; what is left out beyond `most` rows is counted below it.

    >>> shown_as_html("a < b", (), [("mass", "20 kg")])
    '<table><caption>a &lt; b</caption><tbody><tr><th>mass</th><td>20 kg</td></tr></tbody></table>'
    """
    listed = list(rows)
    head = _cells(columns, "th")
    head = f"<thead><tr>{head}</tr></thead>" if columns else ""
    body = "".join(f"<tr>{_cells(row[:1], 'th')}{_cells(row[1:], 'td')}</tr>" for row in listed[:most])
    left = len(listed) - most
    below = " ".join(words for words in (note, f"{left} more rows." if left > 0 else "") if words)
    table = f"<table><caption>{escape(title)}</caption>{head}<tbody>{body}</tbody></table>"
    return table + (f"<p>{escape(below)}</p>" if below else "")


def _cells(values: Iterable[object], tag: str) -> str:
    return "".join(f"<{tag}>{escape(str(value))}</{tag}>" for value in values)
