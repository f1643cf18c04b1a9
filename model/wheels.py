"""Wheels that are not quite true: what each of them brings to an order, and how fast it turns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .estimates import healthy_run_out
from .vehicle import Axle, Vehicle

Floats = NDArray[np.float64]

APART = 0.382  # [-] of the wheels' spread, from axle to axle (the golden section): no two wheels keep step


@dataclass(frozen=True)
class WheelFault:
    """One order of one axle's wheels, a value per wheel; a dual pair shares a hub and is one wheel.

    run_out          [m] radial, peak to peak of the order's harmonic
    force_variation  [N] radial, peak to peak; never together with run_out
    imbalance        [kg m] order 1 only
    """

    axle: str
    order: int
    run_out: tuple[float, ...] = ()
    force_variation: tuple[float, ...] = ()
    imbalance: tuple[float, ...] = ()


def uneven(faults: Sequence[WheelFault], axle: Axle, order: int) -> tuple[list[float], list[float], bool]:
    """What the wheels of an axle bring to an order: heights [m], imbalances [kg m], and whether assumed.

    faults  those of all wheels; where there is none of this axle and order, a healthy run-out is assumed
    order   how many times per turn [-]; the heights are amplitudes of its harmonic, a value per wheel

    >>> from .example import small_truck
    >>> uneven([WheelFault("rear", 1, run_out=(0.002, 0.001))], small_truck().axles[1], 1)
    ([0.001, 0.0005], [], False)
    """
    found = [fault for fault in faults if fault.axle == axle.name and fault.order == order]
    heights = [height for fault in found for height in _contact_heights(fault, axle)]
    moments = [moment for fault in found for moment in fault.imbalance]
    if heights or moments:
        return heights, moments, False
    return [healthy_run_out(order) / 2] * axle.wheels, [], True


def _contact_heights(fault: WheelFault, axle: Axle) -> list[float]:
    """Amplitudes [m], one per wheel: half of peak to peak; a force variation over the rate of one wheel."""
    rate = axle.tyre_rate / axle.wheels
    return [*(r / 2 for r in fault.run_out), *(f / 2 / rate for f in fault.force_variation)]


def turns_per_metre(vehicle: Vehicle, axle: Axle, rolling_difference: float) -> Floats:
    """Turns of each wheel of an axle per metre travelled [1/m], (wheels,); none where its size is not known.

    rolling_difference  [-] from the smallest to the largest wheel of an axle; the axles lie a little apart

    >>> from .example import small_truck
    >>> rates = turns_per_metre(small_truck(), small_truck().axles[0], 0.01)
    >>> round(2.4 * float(rates[1] - rates[0]), 6)     # of 2.4 m a turn
    0.01
    """
    if not axle.circumference:
        return np.zeros(0)
    apart = np.arange(len(vehicle.axles)) * APART % 1.0
    own = apart[vehicle.axles.index(axle)] - apart.mean()
    among = np.linspace(-0.5, 0.5, axle.wheels) if axle.wheels > 1 else np.zeros(1)
    return np.asarray((1 + rolling_difference * (own + among)) / axle.circumference)
