"""Rides driven in a computer by known vehicles, recorded by invented sensors."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from counterbounce.model.case import parse
from counterbounce.model.drive import drive, run_in_time
from counterbounce.model.profile_spectrum import realised
from counterbounce.model.ride import Channel, Ride
from counterbounce.model.ride_files import ride_bytes
from counterbounce.model.roughness import of_class
from counterbounce.model.settle import settled
from counterbounce.model.travel import road_in_time, travel, wheels_in_time

RATE, EVERY = 500, 5  # [Hz] of the calculation; each fifth sample is kept
UP_AND_DOWN = (0.0, 50.0, 100.0), (16.0, 29.0, 15.0)  # [s], [m/s]
NOISE = 0.02  # [m/s^2] r.m.s. of a sensor


@dataclass(frozen=True)
class Driven:
    """A ride: time [s], road speed [m/s], and the acceleration of each place [m/s^2] by its name."""

    time: np.ndarray
    speed: np.ndarray
    shake: dict[str, np.ndarray]

    def write(self, path, *left_out):
        """As a CSV file, without some places; the path as text."""
        kept = {name: row for name, row in self.shake.items() if name not in left_out}
        channels = (*(Channel(name, "m/s^2") for name in kept), Channel("speed", "m/s"))
        samples = np.round(np.vstack([*kept.values(), self.speed]), 4)
        ride = Ride("invented", RATE / EVERY, float(self.time[0]), channels, samples)
        for file, content in ride_bytes(ride, str(path)).items():
            file.write_bytes(content)
        return str(path)


def driven(text, sweep=UP_AND_DOWN, seed=1, smooth=0.4, places=("driver's floor", "rear end")):
    """A ride of the vehicle of a case's text.

    sweep   times [s] and the road speeds there [m/s]
    smooth  [-] of the heights of an average road of class A
    """
    from scipy.signal import firwin, oaconvolve

    case = parse(text)
    truck = settled(case.plan, case.numbers)
    way = travel(tuple(map(list, sweep)), sweep[0][-1], RATE, run_in_time(truck))
    road = realised(of_class("A"), float(np.ptp(way.distance)) + 20.0, 0.05, seed)
    road = replace(road, start=float(way.distance[0]) - 10.0, heights=smooth * road.heights)
    wheels = wheels_in_time(truck, case.roads, way, seed)
    heights = road_in_time(truck, road, way) + wheels.heights
    names = {one: one for one in places} | {f"axle.{a.name}": f"{a.name} axle" for a in case.plan.axles}
    ride = drive(truck, heights, RATE, list(names), wheels.forces, start=way.start).since(0.0)
    raw = np.stack([ride.channel(name) for name in names])
    slow = oaconvolve(raw, firwin(101, 40.0, fs=RATE)[None], mode="same", axes=1)[:, ::EVERY]
    slow += NOISE * np.random.default_rng(seed).standard_normal(slow.shape)
    time = ride.time[::EVERY]
    when = np.arange(len(way.distance)) / RATE + way.start
    return Driven(time, np.interp(time, when, way.speed), dict(zip(names.values(), slow, strict=True)))
