"""Where an engineer would start: an invented truck, from its case file to a state-space model.

Run it as it is, or line by line in a notebook, where cases, modes, sweeps and dampers show themselves.
"""

from pathlib import Path

import numpy as np

from counterbounce.model.case import load
from counterbounce.model.state_space import to_state_space
from counterbounce.sizing.absorber import tuned, with_damper
from counterbounce.sizing.assess import bounds_of
from counterbounce.sizing.before_after import compare
from counterbounce.sizing.study import host, judged, size

case = load(Path(__file__).with_name("box_truck.toml"))
one = host(case)  # vehicle, modes, inputs, critical speeds

print(f"\n{case.name}\n\nModes below 25 Hz")
for name, frequency, damping in zip(
    one.modes.names, one.modes.frequency_hz, one.modes.damping_ratio, strict=True
):
    if frequency < 25:
        print(f"  {frequency:6.2f} Hz, {damping:6.1%} damped: {name}")

print("\nWorst critical speeds")
for critical in one.critical[:5]:
    level = "unknown" if critical.typical is None else f"{critical.typical:.3f} m/s²"
    print(f"  {critical.speed * 3.6:5.1f} km/h: {critical.cause.name} meets {critical.mode_name}, {level}")

best = judged(one, size(one, bounds_of(one)))  # size() is None only where no mass may be hung
hung = best.found.damper
print(f"\nBest damper: {hung.mass:.1f} kg at the {hung.place}, {hung.tuned_hz:.2f} Hz", end=", ")
print(f"{hung.damping_ratio:.1%} damped: {best.comparison.reduction:.0%} less shake")

# Another damper, from what is written on it; floats in SI and pint quantities do as well.
other = tuned("rear end", "55 lb", f"{hung.tuned_hz:.2f} Hz", "8 %")
speeds, band = np.linspace(*case.speeds, 181), one.target.band
tried = compare(one.vehicle, other, one.causes, speeds, band)
print(f"Another: {other.mass:.1f} kg, 8 % damped: {tried.reduction:.0%} less shake", end=", ")
print(f"as ballast {tried.ballast_reduction:.0%}")

# To python-control: a push at the rear end to the acceleration of the driver's floor, with the damper on.
space = to_state_space(with_damper(one.vehicle, hung), ["rear end"], [("acceleration", "driver's floor")])
print(f"\nState space: {len(space.states)} states, from {space.inputs[0]} to {space.outputs[0]}")
try:
    import control
except ImportError:
    print("python-control is not installed: python -m pip install control")
else:
    peer = control.ss(*space.matrices, **space.labels)
    gain = abs(peer(2j * np.pi * one.target.critical.frequency))
    print(f"  {gain * 1000:.4f} m/s² per kN at {one.target.critical.frequency:.2f} Hz, by python-control")
