"""How ride.csv was made: an invented truck, driven in a computer, recorded by invented sensors.

Nobody drove this ride.  The truck is that of flatbed.toml with a frame as stiff as its real one would have to
be for the complaint: whoever reads the recording has to find that out.  Run it to make the same file again.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np

from counterbounce.model.case import parse
from counterbounce.model.drive import drive, run_in_time
from counterbounce.model.profile_spectrum import realised
from counterbounce.model.roughness import of_class
from counterbounce.model.settle import settled
from counterbounce.model.travel import road_in_time, travel, wheels_in_time

HERE = Path(__file__).parent
SEED = 7
STIFFNESS = 'bending_stiffness = "3.2 MN*m^2"'  # what no placard says
WHEEL = '[[inputs.wheel]]\naxle = "rear"\norder = 1\nrun_out = ["0.9 mm", "0.5 mm"]\n'  # no worse than many
SMOOTH = 0.4  # [-] of the heights of an average class A road: new asphalt
RATE, EVERY = 500, 5  # [Hz] of the calculation; each fifth sample is kept
SWEEP = [0.0, 55.0, 115.0], [16.0, 26.0, 15.0]  # [s], [m/s]: up, and let it roll down again
POINTS = {"driver's floor": "driver's floor", "rear end": "rear end", "axle.rear": "rear axle"}
MILLI_G, MPH = 9.80665e-3, 0.44704  # [m/s^2], [m/s]
NOISE, LAG = 3.0, 0.8  # [milli-g] of the sensors, and [s] by which a satellite's speed is late


def main(to: Path = HERE / "ride.csv") -> None:
    text = (HERE / "flatbed.toml").read_text(encoding="utf-8").replace("[frame]", f"[frame]\n{STIFFNESS}")
    case = parse(text + WHEEL, "flatbed.toml")
    truck = settled(case.plan, case.numbers)
    way = travel(SWEEP, SWEEP[0][-1], RATE, run_in_time(truck))
    road = realised(of_class("A"), float(np.ptp(way.distance)) + 20.0, 0.05, SEED)
    road = replace(road, start=float(way.distance[0]) - 10.0, heights=SMOOTH * road.heights)
    wheels = wheels_in_time(truck, case.roads, way, SEED)
    heights = road_in_time(truck, road, way) + wheels.heights
    ride = drive(truck, heights, RATE, list(POINTS), wheels.forces, start=way.start).since(0.0)
    to.write_text(_written(_sensed(ride), ride.time[::EVERY], way), encoding="utf-8")


def _sensed(ride):
    """What sensors of one milli-g make of it (points, samples), nothing above 40 Hz left."""
    from scipy.signal import firwin, oaconvolve

    shake = np.stack([ride.channel(name) for name in POINTS]) / MILLI_G
    slow = oaconvolve(shake, firwin(101, 40.0, fs=RATE)[None], mode="same", axes=1)[:, ::EVERY]
    return np.rint(slow + NOISE * np.random.default_rng(SEED).standard_normal(slow.shape)).astype(int)


def _written(shake, time, way):
    about = {"name": "Invented ride of a small flatbed", "labels": {"made": f"simulated, seed {SEED}"}}
    names = ["time [s]", *(f"{name} [milli-g]" for name in POINTS.values()), "speed [mph]"]
    lines = [f"# about: {json.dumps(about)}", ",".join(names)]
    when = np.arange(len(way.distance)) / RATE + way.start
    told = np.interp(np.floor(time + 1e-6) - LAG, when, way.speed) / MPH  # a reading a second, held
    for t, values, speed in zip(time, shake.T, told, strict=True):
        lines.append(f"{t:.2f},{values[0]},{values[1]},{values[2]},{speed:.1f}")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    main()
