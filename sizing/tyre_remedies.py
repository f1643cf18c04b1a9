"""Remedies at the tyres: another pressure within the load table, others of another rate or size.

Each function gives contests: of the proposals in one, the best is shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from ..model.tyres import GRAVITY, contact_length, radial_tyre_rate
from ..model.vehicle import Axle
from .changes import other_tyres
from .proposal import TYRES_CAUTION, Proposal
from .ratings import rating_checks
from .study import Host
from .wheel_remedies import axle_of, wheel_causes

Contest = list[Proposal]

PSI = 6894.757293168361  # [Pa]
HEAVIER_SIDE = 1.1  # load of the heavier side over the mean: common practice, no source
PRESSURES = np.linspace(0.7, 1.3, 13)  # of the present one, where the load table allows them
OTHER_RATES = (0.8, 1.2)
OTHER_SIZES = (0.88, 0.91, 0.94, 0.97, 1.03, 1.06, 1.09, 1.12)  # circumference over the present one


def pressures(one: Host) -> Iterator[Contest]:
    """Each axle's pressures within its tyres' load table, where the case says what that allows."""
    for axle in one.vehicle.axles:
        facts = pressure_facts(one, axle.name)
        if facts is None or not has_load_table(one, axle.name):
            continue
        tried = [
            _at_pressure(one, axle, float(p)) for p in PRESSURES * facts[0] if not np.isclose(p, facts[0])
        ]
        if allowed := [proposed for proposed in tried if _carries(one, axle, proposed)]:
            yield allowed


def has_load_table(one: Host, axle: str) -> bool:
    """Whether the case says what an axle's tyres carry, and at which pressure.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> has_load_table(host(small_case()), "rear")
    False
    """
    given, path = one.case.numbers.given, f"axle.{axle}"
    rated = f"{path}.tyre_rating" in given or f"{path}.dual_rating" in given
    return rated and f"{path}.rated_pressure" in given


def pressure_facts(one: Host, axle: str) -> tuple[float, ...] | None:
    """Pressure [Pa], width [m], aspect [-] and rim [m] of an axle's tyres; None where one is not known.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> pressure_facts(host(small_case()), "rear") is None     # it gives its rate, and no size
    True
    """
    numbers = one.case.numbers
    paths = [f"axle.{axle}.{fact}" for fact in ("pressure", "tyre_width", "tyre_aspect", "rim_diameter")]
    return tuple(float(numbers[p]) for p in paths) if all(p in numbers.given for p in paths) else None


def _at_pressure(one: Host, axle: Axle, pressure: float) -> Proposal:
    now, *size = pressure_facts(one, axle.name) or (0.0,)
    rate = float(radial_tyre_rate(pressure, *size) / radial_tyre_rate(now, *size))
    load = one.loads[axle.name] * GRAVITY / axle.tyres
    diameter = float(one.case.numbers[f"axle.{axle.name}.tyre_diameter"])
    lengths = [float(contact_length(load, p, size[0], diameter)) for p in (pressure, now)]
    known = one.case.numbers.given[f"axle.{axle.name}.pressure"]
    return Proposal(
        "pressure",
        f"{axle.name} tyres at {pressure_text(one, pressure)}",
        other_tyres(axle.name, rate, contact=lengths[0] / lengths[1]),
        given={f"axle.{axle.name}.pressure": replace(known, value=pressure)},
        detail=f"instead of {pressure_text(one, now)}",
        effort="a quarter of an hour, tyres cold",
        minutes=15,
        caution="within the tyre's own load table, and no more than its sidewall says",
    )


def pressure_text(one: Host, pressure: float) -> str:
    """A pressure [Pa] in bar, or in psi where the case is written in pounds.

    pressure  [Pa]

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> pressure_text(host(small_case()), 5.5e5)
    '5.5 bar'
    """
    if one.case.display.system == "US":
        return f"{pressure / PSI:.0f} psi"
    return f"{pressure / 1e5:.1f} bar"


def _carries(one: Host, axle: Axle, proposed: Proposal) -> bool:
    """Whether the tyres carry the heavier side at that pressure, and stay within the rated one."""
    path = f"axle.{axle.name}"
    rated = float(one.case.numbers[f"{path}.rated_pressure"])
    if proposed.given[f"{path}.pressure"].value > rated:
        return False
    case = replace(one.case, numbers=one.case.numbers.with_given(proposed.given))
    heavier = {name: HEAVIER_SIDE * load for name, load in one.loads.items()}
    tyres = f"{axle.name} tyres"
    return all(c.met for c in rating_checks(case, heavier, heavier) if c.name.startswith(tyres))


def other_rates(one: Host) -> Iterator[Contest]:
    """Each axle on tyres a fifth softer or stiffer."""
    words = {0.8: "a fifth softer", 1.2: "a fifth stiffer"}
    for axle in (a for a in one.case.plan.axles if not a.massless):
        yield [
            Proposal(
                "tyres",
                f"{axle.name} tyres {words[rate]}",
                other_tyres(axle.name, rate),
                effort="a set of tyres, and a morning",
                minutes=120,
                caution=TYRES_CAUTION,
            )
            for rate in OTHER_RATES
        ]


def other_sizes(one: Host) -> Iterator[Contest]:
    """Tyres of another circumference on the axle of the loudest order: its critical speed moves along."""
    for cause in wheel_causes(one)[:1]:
        axle, show = axle_of(one, cause), one.case.display
        assert axle.circumference is not None
        yield [
            Proposal(
                "tyres",
                f"{axle.name} tyres that roll {show.show(size * axle.circumference, 'length')} a turn",
                other_tyres(axle.name, circumference=size),
                detail=f"instead of {show.show(axle.circumference, 'length')}",
                effort="a set of tyres, and a morning",
                minutes=120,
                caution=f"{TYRES_CAUTION}; speedometer and brake control follow",
            )
            for size in OTHER_SIZES
        ]
