"""Remedies at the wheels: truer ones, clocked duals.

Each function gives contests: of the proposals in one, the best is shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from ..model.estimates import healthy_run_out
from ..model.response import Sweep, sweep
from ..model.road import Input
from ..model.units import Kind
from ..model.vehicle import Axle
from ..model.wheels import uneven
from .noticed import FAINTEST, STANDS_OUT, noticed
from .panel import AS_IT_IS, Panel
from .proposal import Proposal, truer
from .reasons import percent
from .study import BAND_POINTS, Host
from .true_wheels import clocking_leaves, good_enough

Floats = NDArray[np.float64]
Contest = list[Proposal]

LENGTH: Kind = "small_length"
FORCE: Kind = "force"
TRUED = 1 / 3  # of an ordinary wheel's run-out, once a tyre is trued on its hub: common practice, no source


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
        heights, moments, _ = uneven(one.case.roads.wheel_faults, axle_of(one, cause), int(cause.order))
        left = np.minimum(heights, reached)
        shares[cause.name] = 1.0 if moments else float(np.linalg.norm(left) / np.linalg.norm(heights))
    text = one.case.display.show(2 * reached, "small_length", 2)
    detail = f"run-out of wheel order {chosen[0].order} no more than {text}, peak to peak"
    return _at_the_wheels("all wheels trued on the hub", shares, detail)


def _run_outs(one: Host, cause: Input, share: float) -> str:
    """What the wheels of an order may have and what they have now, peak to peak."""
    show, faults = one.case.display, one.case.roads.wheel_faults
    mine = [fault for fault in faults if (fault.axle, fault.order) == (cause.axle, cause.order)]
    forces = [force for fault in mine for force in fault.force_variation]
    heights, moments, assumed = uneven(faults, axle_of(one, cause), int(cause.order))
    if moments and not heights:
        return f"{cause.name}: {percent(share)} of the imbalance"
    what, kind, values = "run-out", LENGTH, [2 * height for height in heights]
    if forces:
        what, kind, values = "force variation", FORCE, forces
    now, then = ([show.show(s * v, kind, 2) for v in values] for s in (1.0, share))
    more = ", assumed" if assumed else ", imbalance alike" if moments else ""
    return f"{cause.name}: {what} {_each(then)} instead of {_each(now)}{more}"


def _each(texts: Sequence[str]) -> str:
    return " and ".join(dict.fromkeys(texts))


def axle_of(one: Host, cause: Input) -> Axle:
    """The axle whose wheels a cause is of."""
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
        axle, left = axle_of(one, cause), clocking_leaves(int(cause.order))
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
