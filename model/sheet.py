"""The equation sheet: one energy term a line, from the same parts that the numbers are assembled from.

Each part is a spring, a damper or a mass with one row; so its energy is one square.  The frame's own mass and
bending are many such squares, at the points of a quadrature, and are written as the integrals that they mean.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from html import escape
from typing import Any, Literal

from .matrices import assemble
from .parts import Kind, Part
from .sheet_rows import CLOSE, Piece, pieces, plain_name
from .vehicle import Vehicle

Group = Literal["kinetic", "strain", "dissipated", "road"]
GROUPS: dict[Kind, Group] = {"mass": "kinetic", "spring": "strain", "damper": "dissipated"}
LETTERS: dict[Kind, str] = {"mass": "m", "spring": "k", "damper": "c"}
UNITS: dict[Kind, str] = {"mass": "kg", "spring": "N/m", "damper": "N s/m"}
ALONG: dict[Kind, tuple[str, str, str]] = {  # of the frame: what is spread along it, what moves, unit
    "mass": ("m(x)", "w'(x)", "kg altogether"),
    "spring": ("EI(x)", "w_xx(x)", "N m² in the mean"),
    "damper": ("c_EI(x)", "w'_xx(x)", "N m² s in the mean"),
}
WHOLE = ("sprung mass", "frame bending")  # many parts of one name: an integral along the frame


@dataclass(frozen=True)
class Term:
    """One line of the sheet.

    group  kinetic, strain (energies [J]), dissipated (half of the power lost [W]), or road (what pushes [N])
    name   of the part, as everywhere
    text   the term in plain text; `html` the same with subscripts, escaped
    value  of its factor, in `unit`; None where the line has none
    """

    group: Group
    name: str
    text: str
    html: str
    value: float | None
    unit: str


@dataclass(frozen=True)
class Sheet:
    """All terms of a vehicle, and what their symbols mean."""

    terms: tuple[Term, ...]
    meanings: tuple[tuple[str, str], ...]

    def group(self, name: Group) -> tuple[Term, ...]:
        """The terms of one group, in the order of the parts."""
        return tuple(term for term in self.terms if term.group == name)

    def text(self) -> str:
        """The whole sheet in plain text."""
        titles = {
            "kinetic": "Kinetic energy T, the sum of [J]",
            "strain": "Strain energy V, the sum of [J]",
            "dissipated": "Half of the power lost D, the sum of [W]",
            "road": "What the road pushes with [N]",
        }
        lines = []
        for key, title in titles.items():
            lines += [title, *(_line(term) for term in self.group(key)), ""]  # type: ignore[arg-type]
        lines += ["Motion:  d/dt (dT/dq') + dD/dq' + dV/dq = 0  for every coordinate q", ""]
        lines += [f"    {symbol:<22} {meaning}" for symbol, meaning in self.meanings]
        return "\n".join(lines) + "\n"


def _line(term: Term) -> str:
    factor = "" if term.value is None else f"    {term.value:.6g} {term.unit}"
    return f"    {term.name:<26} {term.text}{factor}"


# --- the sheet ------------------------------------------------------------------------------------------


def sheet(vehicle: Vehicle) -> Sheet:
    """The energies of a vehicle, one part a line, and what its symbols mean."""
    writer = _Writer(vehicle)
    terms = [*writer.part_terms(), *writer.road_terms()]
    return Sheet(tuple(terms), tuple((_symbol_text(symbol), words) for symbol, words in writer.meanings()))


@dataclass(frozen=True)
class _Writer:
    vehicle: Vehicle

    def part_terms(self) -> Iterator[Term]:
        done: set[tuple[Kind, str]] = set()
        for part, symbol in named(self.vehicle):
            key = (part.kind, part.name)
            if not self._whole(part):
                yield self._square(part, symbol)
            elif key not in done:
                done.add(key)
                yield self._integral(part)

    def _whole(self, part: Part) -> bool:
        return part.name in WHOLE and self.vehicle.kind == "bending"

    def _square(self, part: Part, symbol: str) -> Term:
        moved = _sum_of(pieces(self.vehicle, part.row), part.kind != "spring")
        if " " in moved[0]:
            moved = f"({moved[0]})", f"({moved[1]})"
        unit = "kg m²" if part.path.endswith("inertia") else UNITS[part.kind]
        text = f"1/2 {_symbol_text(symbol)} {moved[0]}²"
        html = f"½&thinsp;{_symbol_html(symbol)}&thinsp;{moved[1]}<sup>2</sup>"
        return Term(GROUPS[part.kind], part.name, text, html, float(part.value), unit)

    def _integral(self, part: Part) -> Term:
        factor, moved, unit = ALONG[part.kind]
        total = float(sum(p.value for p in self.vehicle.parts if (p.kind, p.name) == (part.kind, part.name)))
        value = total if part.kind == "mass" else total / self.vehicle.frame.length
        marked = f"{_symbol_html(factor)}&thinsp;{_symbol_html(moved)}<sup>2</sup>"
        html = f"∫&thinsp;½&thinsp;{marked}&thinsp;d<i>x</i>"
        return Term(GROUPS[part.kind], part.name, f"∫ 1/2 {factor} {moved}² dx", html, value, unit)

    def road_terms(self) -> Iterator[Term]:
        """The parts that stand on the road, as the forces that its heights push with."""
        roads = set(self.vehicle.roads)
        for part, symbol in named(self.vehicle):
            touched = [c for c in part.row if c in roads]
            if touched and part.kind != "mass":
                dot = "'" if part.kind == "damper" else ""
                height = f"u{dot}_{touched[0].partition('.')[2]}"
                text = f"{_symbol_text(symbol)} {_symbol_text(height)}"
                html = f"{_symbol_html(symbol)}&thinsp;{_symbol_html(height)}"
                yield Term("road", part.name, text, html, None, "N")

    def meanings(self) -> Iterator[tuple[str, str]]:
        """Every symbol of motion, in words."""
        frame = self.vehicle.frame
        shapes = f"{frame.terms} shapes ({', '.join(frame.coordinates)})" if frame.terms > 1 else "bounce"
        yield "w(x)" if frame.terms > 1 else "w", f"rise of the sprung body at station x [m]: {shapes}"
        if frame.terms > 1:
            yield "w_x(x)", "its slope [-]; x from the front axle, rearward"
        if frame.terms > 2:
            yield "w_xx(x)", "its curvature [1/m]"
        for name in map(plain_name, self.vehicle.coordinates[frame.terms :]):
            yield f"y_{name}", f"turn of {name} [rad]" if name.endswith(" pitch") else f"rise of {name} [m]"
        for name in (road.partition(".")[2] for road in self.vehicle.roads):
            yield f"u_{name}", f"height of the road under the {name} axle [m]"
        yield "'", "rate of change in time"


# --- sums in words --------------------------------------------------------------------------------------


def _sum_of(pieces: list[Piece], rate: bool) -> tuple[str, str]:
    """A sum of motions in plain text and in HTML; `rate`: their rates of change."""
    plain = html = ""
    for share, name in pieces:
        sign = ("- " if share < 0 else "+ ") if plain else ("-" if share < 0 else "")
        size = "" if abs(abs(share) - 1) < CLOSE else f"{abs(share):.4g} "
        motion = f"{name[0]}'{name[1:]}" if rate else name  # y_cab -> y'_cab
        gap = " " if plain else ""
        plain += f"{gap}{sign}{size}{_symbol_text(motion)}"
        html += f"{gap}{sign.replace('-', '−')}{size}{_symbol_html(motion)}"
    return plain, html


def _symbol_text(symbol: str) -> str:
    """k_rear spring -> k_rear_spring; w(3 m) stays."""
    return symbol if "(" in symbol else symbol.replace(" ", "_")


_DOTTED = {"w": "ẇ", "y": "ẏ", "u": "u̇", "q": "q̇"}


def _symbol_html(symbol: str) -> str:
    """k_rear spring -> k with a subscript; w'(3 m) -> w with a dot."""
    head, _, below = symbol.partition("_")
    letter, argument = head.partition("(")[0], "".join(head.partition("(")[1:])
    if letter.endswith("'"):
        letter = _DOTTED.get(letter[0], letter)
    if below.endswith(")"):  # w_x(3.9 m): the argument stands after the subscript
        below, _, rest = below.partition("(")
        argument = f"({rest}"
    lower = f"<sub>{escape(below)}</sub>" if below else ""
    return f"<i>{escape(letter)}</i>{lower}{escape(argument)}"


# --- symbols --------------------------------------------------------------------------------------------


def named(vehicle: Vehicle) -> Iterator[tuple[Part, str]]:
    """Every part with a symbol of its own: k_rear spring; parts of one name are numbered.

    Where the frame bends, its mass and its bending have one symbol each, for all of their parts.
    """
    counted = Counter((p.kind, p.name) for p in vehicle.parts)
    seen: Counter[tuple[Kind, str]] = Counter()
    for part in vehicle.parts:
        key = (part.kind, part.name)
        seen[key] += 1
        plain = f"{LETTERS[part.kind]}_{part.name}"
        numbered = counted[key] > 1 and not (part.name in WHOLE and vehicle.kind == "bending")
        yield part, f"{plain} {seen[key]}" if numbered else plain


@dataclass(frozen=True)
class Symbolic:
    """M, C and K of a vehicle in symbols (SymPy), and the number behind each symbol.

    coordinates  (n,) names
    M, C, K      SymPy matrices, (n, n)
    values       symbol -> number [kg, N s/m, N/m; what is spread along the frame: its total]
    """

    coordinates: tuple[str, ...]
    M: Any
    C: Any
    K: Any
    values: dict[Any, float]


def symbols(vehicle: Vehicle) -> Symbolic:
    """The matrices of a vehicle in symbols, assembled by the same lines as the numbers."""
    import sympy  # type: ignore[import-untyped]

    totals: dict[str, float] = {}
    for part, name in named(vehicle):
        totals[name] = totals.get(name, 0.0) + float(part.value)
    known = {name: sympy.Symbol(name.replace(" ", "_"), positive=True) for name in totals}
    parts = [
        replace(p, value=(p.value / totals[name] if totals[name] else 1.0) * known[name])
        for p, name in named(vehicle)
    ]
    kinds: tuple[Kind, ...] = ("mass", "damper", "spring")
    m, c, k = (sympy.Matrix(assemble(parts, kind, vehicle.coordinates)) for kind in kinds)
    return Symbolic(vehicle.coordinates, m, c, k, {known[name]: total for name, total in totals.items()})
