"""The command `sheet`: the equation sheet in the terminal, for LaTeX, or as MathML."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from ..model.sheet import Sheet

HEADINGS = {
    "kinetic": "Kinetic energy, the sum of",
    "strain": "Strain energy, the sum of",
    "dissipated": "Half the power lost, the sum of",
    "road": "What the road pushes with",
}
DOTTED = {"ẇ": "w", "ẏ": "y", "u̇": "u", "q̇": "q"}


@click.command("sheet")
@click.argument("case", metavar="CASE.toml")
@click.option("--latex", "form", flag_value="latex", help="As LaTeX, one align environment a group.")
@click.option("--mathml", "form", flag_value="mathml", help="As a page of MathML.")
def sheet(case: str, form: str | None) -> None:
    """Print the equations of a case: one energy term a line, the frame as two integrals."""
    from ..model.case import load
    from ..model.settle import settled
    from ..model.sheet import sheet as written

    loaded = load(case)
    found = written(settled(loaded.plan, loaded.numbers))
    writer = {"latex": latex, "mathml": mathml}.get(form or "", plain)
    click.echo(writer(found, loaded.name), nl=False)


def plain(found: Sheet, name: str) -> str:
    """The sheet as plain text: term, and the number of its factor."""
    lines = [name, ""]
    for group, heading in HEADINGS.items():
        terms = [t for t in found.terms if t.group == group]
        width = max((len(t.text) for t in terms), default=0)
        lines += [heading] if terms else []
        lines += [f"  {t.text:<{width}}  {_value(t)}".rstrip() for t in terms]
        lines += [""] if terms else []
    lines += ["where", *(f"  {symbol}  {meaning}" for symbol, meaning in found.meanings)]
    return "\n".join(lines) + "\n"


def _value(term: Any) -> str:
    from ..model.units import significant

    return "" if term.value is None else f"{significant(term.value, 4)} {term.unit}"


# --- other notations ------------------------------------------------------------------------------------


class _Pieces(HTMLParser):
    """The pieces of a term's markup, (what, text): what is i (a symbol), sub, sup, or "" for plain text."""

    def __init__(self, markup: str) -> None:
        super().__init__()
        self.found: list[tuple[str, str]] = []
        self._inside = ""
        self.feed(markup)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._inside = tag

    def handle_endtag(self, tag: str) -> None:
        self._inside = ""

    def handle_data(self, data: str) -> None:
        self.found.append((self._inside, data))


def latex(found: Sheet, name: str) -> str:
    """The sheet for LaTeX with amsmath."""
    lines = [f"% {name}"]
    for group, heading in HEADINGS.items():
        terms = [t for t in found.terms if t.group == group]
        if terms:
            lines += [f"\\paragraph{{{heading}}}", "\\begin{align*}"]
            lines += [f"  & {_latex(t.html)} && \\text{{{_escaped(_value(t))}}} \\\\" for t in terms]
            lines += ["\\end{align*}"]
    return "\n".join(lines) + "\n"


def _latex(markup: str) -> str:
    return "".join(_latex_piece(what, text) for what, text in _Pieces(markup).found)


def _latex_piece(what: str, text: str) -> str:
    if what == "i":
        return f"\\dot {DOTTED[text]}" if text in DOTTED else text
    if what == "sub":
        return f"_{{\\text{{{_escaped(text)}}}}}"
    return f"^{{{text}}}" if what == "sup" else _latex_text(text)


def _latex_text(text: str) -> str:
    for old, new in (("½", "\\tfrac12"), ("∫", "\\int"), ("−", "-"), ("\u2009", "\\,"), ("²", "^2")):
        text = text.replace(old, new)
    return re.sub(r"\((-?[\d.]+) m\)", r"(\1\\,\\mathrm{m})", text)


def _escaped(text: str) -> str:
    return text.replace("²", "$^2$").replace("&", "\\&").replace("%", "\\%").replace("_", "\\_")


def mathml(found: Sheet, name: str) -> str:
    """The sheet as a page of MathML, which browsers show as they are."""
    from html import escape

    lines = ["<!doctype html>", '<html lang="en">', f'<meta charset="utf-8"><title>{escape(name)}</title>']
    for group, heading in HEADINGS.items():
        terms = [t for t in found.terms if t.group == group]
        lines += [f"<h2>{heading}</h2>"] if terms else []
        lines += [f"<p>{_mathml(t.html)} <span>{escape(_value(t))}</span></p>" for t in terms]
    lines += [f"<p>{escape(symbol)}: {escape(meaning)}</p>" for symbol, meaning in found.meanings]
    return "\n".join([*lines, "</html>"]) + "\n"


def _mathml(markup: str) -> str:
    """Symbols with their subscripts and powers as MathML."""
    from html import escape

    written: list[str] = []
    for what, text in _Pieces(markup).found:
        if what == "i":
            symbol = f"<mi>{DOTTED.get(text, text)}</mi>"
            written.append(f"<mover>{symbol}<mo>˙</mo></mover>" if text in DOTTED else symbol)
        elif what in ("sub", "sup") and written:
            inner = f"<mtext>{escape(text)}</mtext>" if what == "sub" else f"<mn>{text}</mn>"
            written.append(f"<m{what}>{written.pop()}{inner}</m{what}>")
        else:
            written += [_mathml_word(word) for word in re.findall(r"[\d.½]+|[A-Za-z]+|\S", text)]
    return f"<math><mrow>{''.join(written)}</mrow></math>"


def _mathml_word(word: str) -> str:
    if re.fullmatch(r"[\d.½]+", word):
        return f"<mn>{word}</mn>"
    return f"<mi>{word}</mi>" if word.isalpha() else f"<mo>{word}</mo>"
