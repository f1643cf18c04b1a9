"""Remedies at the wheels: truer ones, clocked duals, another pressure, other tyres.

Each function gives contests: of the proposals in one, the best is shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..model.estimates import healthy_run_out
from ..model.response import Sweep, sweep
from ..model.road import Input
from ..model.tyres import GRAVITY, contact_length, radial_tyre_rate
from ..model.vehicle import Axle
from ..model.wheels import uneven
from .changes import other_tyres
from .noticed import FAINTEST, STANDS_OUT, noticed
from .panel import AS_IT_IS, Panel
from .proposal import LICENSED_TYRES, Proposal, truer
from .ratings import rating_checks
from .reasons import percent
from .study import BAND_POINTS, Host
from .true_wheels import clocking_leaves, good_enough

Floats = NDArray[np.float64]
Contest = list[Proposal]

PSI = 6894.757293168361  # [Pa]
TRUED = 1 / 3  # of an ordinary wheel's run-out, once a tyre is trued on its hub: common practice, no source
HEAVIER_SIDE = 1.1  # load of the heavier side over the mean: common practice, no source
PRESSURES = np.linspace(0.7, 1.3, 13)  # of the present one, where the load table allows them
OTHER_RATES = (0.8, 1.2)
OTHER_SIZES = (0.88, 0.91, 0.94, 0.97, 1.03, 1.06, 1.09, 1.12)  # circumference over the present one


def wheel_causes(one: Host) -> list[Input]:
    """Wheel orders by how loud they are in the band, loudest first.

    >>> from ..model.example import small_case
    >>> from .study import host
    >>> [cause.name for cause in wheel_causes(host(small_case()))]
    ['wheel order 1, rear axle', 'wheel order 1, front axle']
    """
    found = _in_band(one)
    loudest = found.typical.max(axis=(1, 2), initial=0.0)
    order = np.argsort(-loudest, kind="stable")
    return [found.inputs[i] for i in order if found.inputs[i].kind == "wheel" and loudest[i] > 0]


def _in_band(one: Host) -> Sweep:
    assert one.target is not None
    speeds = np.linspace(*one.target.band, BAND_POINTS)
    return sweep(one.ready, one.causes, speeds, one.vehicle.judged)


# --- truer wheels -------------------------------------------------------------------------------------------


def truer_wheels(one: Host, many: Panel) -> Iterator[Contest]:
    """Run-out that is good enough for nine in ten vehicles, that nobody notices, and that truing reaches.

    The loudest order alone, where that can be enough; else all orders of all wheels.
    """
    causes = wheel_causes(one)
    for chosen in (causes[:1], causes)[: len(causes)]:
        names = frozenset(cause.name for cause in chosen)
        enough = _enough(many, names)
        if enough > 0:
            unnoticed = _unnoticed(one, names)
            both = "good enough, and nobody notices" if unnoticed >= enough else "good enough"
            yield [_truer(one, chosen, enough, both)]
            if 0 < unnoticed < enough:
                yield [_truer(one, chosen, unnoticed, "nobody notices")]
            break
    if causes:
        yield [_trued(one, [cause for cause in causes if cause.order == causes[0].order])]


def _truer(one: Host, chosen: Sequence[Input], share: float, why: str) -> Proposal:
    which = "all wheels" if len(chosen) > 1 else f"wheels of {chosen[0].name},"
    shares = dict.fromkeys((cause.name for cause in chosen), share)
    return _at_the_wheels(
        f"{which} at {percent(share)} of their run-out: {why}", shares, _run_outs(one, chosen[0], share)
    )


def _at_the_wheels(name: str, shares: Mapping[str, float], detail: str) -> Proposal:
    effort = "a morning: dial gauge, match tyre and rim, true on the hub; perhaps other tyres"
    return Proposal("wheels", name, inputs=truer(shares), detail=detail, effort=effort, minutes=240)


def _trued(one: Host, chosen: Sequence[Input]) -> Proposal:
    """All wheels of one order trued on their hubs, those that are not as true already."""
    reached = TRUED * healthy_run_out(int(chosen[0].order)) / 2
    shares = {}
    for cause in chosen:
        heights, moments, _ = uneven(one.case.roads.wheel_faults, _axle(one, cause), int(cause.order))
        left = np.minimum(heights, reached)
        shares[cause.name] = 1.0 if moments else float(np.linalg.norm(left) / np.linalg.norm(heights))
    text = one.case.display.show(2 * reached, "small_length", 2)
    detail = f"run-out of wheel order {chosen[0].order} no more than {text}, peak to peak"
    return _at_the_wheels("all wheels trued on the hub", shares, detail)


def _run_outs(one: Host, cause: Input, share: float) -> str:
    """What the wheels of an order may have and what they have now, peak to peak."""
    axle, show = _axle(one, cause), one.case.display
    heights, moments, assumed = uneven(one.case.roads.wheel_faults, axle, int(cause.order))
    if moments and not heights:
        return f"{cause.name}: {percent(share)} of the imbalance"
    now = [show.show(2 * h, "small_length", 2) for h in heights]
    then = [show.show(2 * share * h, "small_length", 2) for h in heights]
    return f"{cause.name}: run-out {_each(then)} instead of {_each(now)}{', assumed' if assumed else ''}"


def _each(texts: Sequence[str]) -> str:
    return " and ".join(dict.fromkeys(texts))


def _axle(one: Host, cause: Input) -> Axle:
    return next(axle for axle in one.vehicle.axles if axle.name == cause.axle)


def _enough(many: Panel, names: frozenset[str]) -> float:
    """The share of the run-out that is good enough for nine in ten plausible vehicles [-]."""
    worth = many.one.case.limits.worth
    shares = []
    for along in many.sweeps(AS_IT_IS):
        mine = [c.name in names for c in along.inputs]
        wheels, rest = (_powers(along, np.array(which)) for which in (mine, np.logical_not(mine)))
        level = (1 - worth) * along.total().max()
        shares.append(min(good_enough(rest, wheels, level), 1.0))
    return many.asked.interval(np.array(shares))[0]


def _unnoticed(one: Host, names: frozenset[str]) -> float:
    """The share of the run-out that nobody would notice over the road [-], on the best estimate."""
    told = noticed(one, None)
    inside = (told.speeds >= told.band[0] - 1e-9) & (told.speeds <= told.band[1] + 1e-9)
    along = sweep(one.ready, one.causes, told.speeds[inside], told.points)
    mine = np.array([c.name in names for c in along.inputs])
    weakest = np.maximum(STANDS_OUT * told.before.background[inside], FAINTEST)
    return good_enough(_powers(along, ~mine), _powers(along, mine), weakest)


def _powers(along: Sweep, which: NDArray[np.bool_]) -> Floats:
    return np.asarray(np.sqrt((along.typical[which] ** 2).sum(axis=0)))


def clocked_duals(one: Host) -> Iterator[Contest]:
    """The loudest order of each axle with duals, the two tyres of each hub turned high spot against low."""
    loudest = {cause.axle: cause for cause in reversed(wheel_causes(one))}
    for cause in loudest.values():
        axle, left = _axle(one, cause), clocking_leaves(int(cause.order))
        if axle.tyres == 2 * axle.wheels and left < 1:
            yield [
                Proposal(
                    "duals",
                    f"{axle.name} duals clocked for wheel order {cause.order}",
                    inputs=truer({cause.name: left}),
                    detail="high spot of one tyre against low spot of the other, as near as the studs allow",
                    effort="an hour: mark high spots, turn one wheel of each pair",
                    minutes=60,
                )
            ]


# --- pressure and tyres -------------------------------------------------------------------------------------


def pressures(one: Host) -> Iterator[Contest]:
    """Each axle's pressures within its tyres' load table, where the case says what that allows."""
    for axle in one.vehicle.axles:
        facts = pressure_facts(one, axle.name)
        known = all(
            f"axle.{axle.name}.{fact}" in one.case.numbers.given for fact in ("tyre_rating", "rated_pressure")
        )
        if facts is None or not known:
            continue
        tried = [
            _at_pressure(one, axle, float(p)) for p in PRESSURES * facts[0] if not np.isclose(p, facts[0])
        ]
        if allowed := [proposed for proposed in tried if _carries(one, axle, proposed)]:
            yield allowed


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
                caution=LICENSED_TYRES,
            )
            for rate in OTHER_RATES
        ]


def other_sizes(one: Host) -> Iterator[Contest]:
    """Tyres of another circumference on the axle of the loudest order: its critical speed moves along."""
    for cause in wheel_causes(one)[:1]:
        axle, show = _axle(one, cause), one.case.display
        assert axle.circumference is not None
        yield [
            Proposal(
                "tyres",
                f"{axle.name} tyres that roll {show.show(size * axle.circumference, 'length')} a turn",
                other_tyres(axle.name, circumference=size),
                detail=f"instead of {show.show(axle.circumference, 'length')}",
                effort="a set of tyres, and a morning",
                minutes=120,
                caution=f"{LICENSED_TYRES}; speedometer and brake control follow",
            )
            for size in OTHER_SIZES
        ]
