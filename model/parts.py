"""Springs, dampers and masses: one row each.

A spring between two points stretches by g = upper - lower and adds k g gT to K; a damper adds c g gT to C;
a mass riding on a point p adds m p pT to M.  A spring in tension has a positive stretch.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from .points import Row

Kind = Literal["mass", "damper", "spring"]


@dataclass(frozen=True)
class Part:
    """`value` times the outer square of `row`, added to the matrix of its kind.

    kind         mass [kg or kg m^2], damper [N s/m] or spring [N/m]
    name         as the report calls it; parts of one name are one thing (a frame's bending is many springs)
    value        SI float, an array with one value per plausible vehicle, or a SymPy symbol
    row          what it carries, rubs or squeezes
    loss_factor  springs only [-]: hysteretic loss, turned into a damper once the modes are known
    path         the number that the value comes from, as the resolver calls it: its spread is the part's
    """

    kind: Kind
    name: str
    value: Any
    row: Row
    loss_factor: Any = 0.0
    path: str = ""


def spring(name: str, rate: Any, upper: Row, lower: Row, loss_factor: Any = 0.0, path: str = "") -> Part:
    """A spring of `rate` [N/m] between two points; `loss_factor` [-] and `path` as in Part.

    >>> spring("leaf", 3e5, Row(body=1.0), Row(axle=1.0)).row
    {'body': 1.0, 'axle': -1.0}
    """
    return Part("spring", name, rate, upper - lower, loss_factor, path)


def damper(name: str, damping: Any, upper: Row, lower: Row, path: str = "") -> Part:
    """A viscous damper of `damping` [N s/m] between two points.

    >>> damper("shock", 9e3, Row(body=1.0), Row(axle=1.0)).kind
    'damper'
    """
    return Part("damper", name, damping, upper - lower, path=path)


def mass(name: str, inertia: Any, carried_by: Row, path: str = "") -> Part:
    """A mass of `inertia` [kg] riding on a point.

    >>> mass("cab", 600.0, Row(bounce=1.0, pitch=-0.4)).value
    600.0
    """
    return Part("mass", name, inertia, carried_by, path=path)
