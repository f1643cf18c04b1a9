"""Recordings of invented vehicles whose every fault is known: what a reading of them is judged by.

A light model: each point is a sum of modes driven by the heights under two axles, exact in frequency, so that
hundreds of rides take a minute.  Every number is drawn at random; none belongs to a real vehicle.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from counterbounce.model.measured.recording import Recording
from counterbounce.model.measured.sensors import Sensor
from counterbounce.model.ride import Channel, Ride

RATE = 200.0  # [Hz]
HEALTHY = {1: 0.3e-3, 2: 0.15e-3, 3: 0.1e-3}  # [m] amplitude of an order of a healthy wheel
STORIES = (
    "resonance, wheel", "resonance, joints", "resonance, roughness", "rotating part", "both", "driveline",
    "one speed", "nothing", "tramp",
)  # fmt: skip
BESIDES = "two resonances", "joints alone", "driveline and resonance"
"""Stories that the table of all others is told without, so that it can be compared with former ones."""
KIND = {
    "resonance, wheel": ("resonance",), "resonance, joints": ("resonance",),
    "resonance, roughness": ("resonance",), "rotating part": ("rotating_part",),
    "both": ("rotating_part", "resonance"), "driveline": ("rotating_part",), "one speed": ("not_separable",),
    "nothing": ("nothing",), "tramp": ("outside_the_model",), "two resonances": ("resonance",),
    "joints alone": ("nothing",), "driveline and resonance": ("rotating_part", "resonance"),
}  # fmt: skip
STAIRS = (0, 0.2, 0.3, 0.5, 0.6, 0.75, 0.8, 1), (0, 0.05, 0.35, 0.4, 0.65, 0.7, 0.95, 1)
AXLES = ("front axle", "rear axle")
BODY = ("driver's floor", "rear end")


@dataclass(frozen=True)
class Told:
    """What a ride is made of."""

    story: str
    seed: int
    duration: float = 150.0  # [s]
    profile: str = "up"
    slowest: float = 12.0  # [m/s]
    fastest: float = 30.0
    circumference: float = 2.4  # [m]
    natural: float = 8.0  # [Hz] of the lightly damped mode
    damping: float = 0.03  # [-]
    second: tuple[float, float] | None = None  # [Hz], [-] of another such mode, that of the rear end
    hop: tuple[float, float] = (11.5, 0.28)
    roughness: float = 16e-6  # [m^3] at 0.1 cycles a metre
    sizes: dict[int, float] = field(default_factory=dict)  # [-] of each order over a healthy one
    imbalance: bool = False
    axle: int = 1
    joints: tuple[float, float] | None = None  # [m] apart, [m] high
    shaft: float = 0.0  # [m/s^2] at 20 m/s and the driver's floor, from a shaft order
    shaft_ratio: float = 4.1
    tramp: tuple[float, float] = (0.0, 0.0)  # [Hz], [-] of an axle whose two ends move against each other
    noise: float = 0.01  # [m/s^2] r.m.s.
    lag: float = 0.0  # [s] of the speed that is left in it
    quantum: float = 0.0  # [m/s]
    scale: float = 1.0  # [-] of the speedometer
    tilts: tuple[float, ...] = (0.0, 0.0, 0.0, 0.0)  # [rad]
    swapped: bool = False
    kept: tuple[int, ...] = (0, 1, 2, 3)  # sensors: floor, rear end, front axle, rear axle

    @property
    def right(self) -> tuple[str, ...]:
        return KIND[self.story]


def drawn(story: str, seed: int) -> Told:
    """A ride of a story, drawn at random."""
    rng = np.random.default_rng(seed)
    u = rng.uniform
    c = u(1.9, 3.3)
    natural = u(5.5, 11.0)
    critical = natural * c  # of wheel order 1
    told = Told(
        story,
        seed,
        duration=u(45, 240),
        profile=str(rng.choice(["up", "down", "up and down", "stops", "stairs"])),
        circumference=c,
        natural=natural,
        damping=u(0.015, 0.09),
        hop=(u(10.5, 13.5), u(0.17, 0.35)),
        roughness=4e-6 * 4 ** u(0, 1.5),
        sizes={1: u(0.5, 1.5), 2: u(0.5, 1.5), 3: u(0.5, 1.5)},
        axle=int(rng.integers(2)),
        noise=10 ** u(-3, -1),
        lag=float(rng.choice([0.0, 0.0, u(-0.7, 0.7)])),
        quantum=float(rng.choice([0.0, 0.0, 1 / 3.6])),
        scale=u(0.97, 1.03),
        tilts=tuple(rng.choice([0.0, 0.0, 0.3], 4) * u(-1, 1, 4)),
        swapped=bool(u() < 0.1),
        kept=((0,), (0, 1), (0, 1, 2, 3), (0, 1, 2, 3))[int(rng.integers(4))],
    )
    top = min(critical * u(1.15, 1.4), 36.0)
    told = replace(told, slowest=max(critical * u(0.55, 0.75), 6.0), fastest=top)
    if critical > 30.0:  # no road is that fast: the second order meets it
        told = replace(told, slowest=critical / 2 * u(0.55, 0.75), fastest=critical / 2 * u(1.2, 1.4))
    return _told(told, rng)


def _told(told: Told, rng: np.random.Generator) -> Told:
    u = rng.uniform
    met = 1 if told.natural * told.circumference <= 30.0 else 2
    faulty = {**told.sizes, 1: u(3, 9)}
    slow = {**told.sizes, 1: told.sizes[1] * 0.4, 2: told.sizes[2] * 0.4, 3: told.sizes[3] * 0.4}
    stiff = replace(told, natural=u(9, 12), damping=u(0.17, 0.4))
    story = told.story
    if story == "resonance, wheel":
        return replace(told, sizes={**told.sizes, met: u(0.8, 1.6)})
    if story == "resonance, joints":
        apart = u(4.0, 9.0)
        return replace(told, sizes=slow, joints=(apart, u(1.5e-3, 4e-3)))
    if story == "resonance, roughness":
        return replace(told, sizes={k: 0.15 * s for k, s in slow.items()}, roughness=told.roughness * 3)
    if story == "rotating part":
        return replace(stiff, sizes=faulty, imbalance=bool(rng.integers(2)))
    if story == "both":
        return replace(told, sizes={**told.sizes, met: u(3, 9)})
    if story == "driveline":
        return replace(
            stiff, shaft=u(0.15, 0.5), shaft_ratio=u(3.4, 5.1), sizes=slow, slowest=8.0, fastest=22.0
        )
    if story == "two resonances":
        apart = 1.25 + 0.25 * u()
        other = told.natural * apart if told.natural < 8 else told.natural / apart
        return replace(told, sizes={**told.sizes, met: u(0.8, 1.6)}, second=(other, u(0.015, 0.06)))
    if story == "joints alone":
        return replace(stiff, sizes=slow, joints=(u(4.0, 9.0), u(2e-3, 5e-3)))
    if story == "driveline and resonance":
        shaken = {**told.sizes, met: u(0.8, 1.6)}
        return replace(told, shaft=u(0.3, 0.8), shaft_ratio=u(3.4, 5.1), sizes=shaken)
    if story == "one speed":
        sizes = {**told.sizes, met: float(rng.choice([u(1, 1.6), u(4, 8)]))}
        speed = told.natural * told.circumference / met * u(0.97, 1.03)
        return replace(told, profile="constant", fastest=speed, slowest=speed, sizes=sizes)
    if story == "nothing":
        sizes = {k: 0.5 * s for k, s in told.sizes.items()}
        return replace(stiff, sizes=sizes, roughness=1e-6 * 4 ** u(0, 2.5))
    return replace(
        stiff, kept=(0, 1, 2, 3), tramp=(u(9, 13), u(0.03, 0.07)), sizes={**told.sizes, 1: u(2, 5)}
    )


def speeds(told: Told, rng: np.random.Generator) -> np.ndarray:
    """The true road speed [m/s]."""
    t = np.arange(round(told.duration * RATE)) / RATE
    x = t / t[-1]
    low, high = told.slowest, told.fastest
    still = -low / (high - low + 1e-9)  # a stop at lights
    shape = {
        "up": x,
        "down": 1 - x,
        "up and down": 1 - np.abs(2 * x - 1),
        "stairs": np.interp(x, *STAIRS),
        "constant": x * 0,
        "stops": np.interp(x, [0, 0.3, 0.42, 0.45, 0.6, 0.9, 1], [0, 1, still, still, 0.2, 1, 0.3]),
    }[told.profile]
    wander = np.cumsum(rng.standard_normal(len(t))) / RATE
    wander -= np.linspace(wander[0], wander[-1], len(t))
    return np.clip(low + (high - low) * shape + 0.08 * wander / max(wander.std(), 1e-9), 0.0, None)


def heights(told: Told, speed: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Heights under both axles [m], and half of left less right under the one that tramps, (3, samples)."""
    travelled = np.cumsum(speed) / RATE
    found = np.zeros((3, len(speed)))
    road = _road(told, travelled, rng)
    found[2] = 0.5 * _road(replace(told, joints=None), travelled, rng)
    found[0], found[1] = road, np.interp(travelled - 3.8, travelled, road)
    for axle in range(2):
        for wheel in range(2):
            turns = travelled / (told.circumference * (1 + rng.uniform(-0.003, 0.003)))
            for order, healthy in HEALTHY.items():
                size = (
                    told.sizes.get(order, 1.0) if axle == told.axle else min(told.sizes.get(order, 1.0), 1.0)
                )
                bent = order == 1 and told.imbalance and axle == told.axle
                height = healthy * size * ((speed / max(speed.max(), 1)) ** 2 if bent else 1.0)
                wave = height * np.cos(2 * np.pi * (order * turns + rng.uniform()))
                found[axle] += wave / 2
                if axle == told.axle:
                    found[2] += wave * (1 if wheel else -1) / 2
    return found


def _road(told: Told, travelled: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    step = 0.05
    count = int(travelled[-1] / step) + 400
    n = np.fft.rfftfreq(count, step)
    density = np.zeros(len(n))
    density[1:] = told.roughness * (np.maximum(n[1:], 0.02) / 0.1) ** -2
    white = rng.standard_normal(len(n)) + 1j * rng.standard_normal(len(n))
    profile = np.fft.irfft(white * np.sqrt(density * count / step) / 2, count)
    where = np.arange(count) * step
    if told.joints:
        apart, high = told.joints
        for joint in np.arange(apart, where[-1], apart):
            near = slice(max(int((joint - 1) / step), 0), int((joint + 1) / step))
            profile[near] += high * np.exp(
                -0.5 * ((where[near] - joint - rng.uniform(-0.02, 0.02)) / 0.15) ** 2
            )
    return np.interp(travelled, where, profile)


def ride(told: Told) -> Recording:
    """The recording."""
    rng = np.random.default_rng((told.seed, 7))
    speed = speeds(told, rng)
    z = np.fft.rfft(heights(told, speed, rng))
    f = np.fft.rfftfreq(len(speed), 1 / RATE)
    a = np.fft.irfft(_points(told, f, z), len(speed))
    names = [*BODY, *AXLES]
    if told.tramp[0]:
        opposite = np.fft.irfft(-((2 * np.pi * f) ** 2) * _mode(f, *told.tramp) * z[2], len(speed))
        a = np.vstack([a[:2], a[2 + told.axle] + opposite, a[2 + told.axle] - opposite])
        names = [*BODY, f"{AXLES[told.axle]}, left", f"{AXLES[told.axle]}, right"]
    if told.shaft:
        turn = 2 * np.pi * np.cumsum(speed) / RATE / told.circumference * told.shaft_ratio
        pull = told.shaft * (speed / 20) ** 2 * np.cos(turn)
        a[:2] += pull * np.array([[1.0], [0.6]])
    a = a * np.cos(told.tilts)[:, None] + told.noise * rng.standard_normal(a.shape)
    if told.swapped:
        a[[0, 1]] = a[[1, 0]]
    kept = list(told.kept)
    return _recording(told, [names[i] for i in kept], a[kept], _said(told, speed))


def _mode(f: np.ndarray, natural: float, damping: float) -> np.ndarray:
    r = f / natural
    return 1 / (1 - r**2 + 2j * damping * r)


def _points(told: Told, f: np.ndarray, z: np.ndarray) -> np.ndarray:
    """Transforms of accelerations (4, F)."""
    hubs = _mode(f, *told.hop) * z[:2]
    r = f / 1.6
    bounce = (1 + 0.7j * r) / (1 - r**2 + 0.7j * r)
    bent = 0.06 * _mode(f, told.natural, told.damping) * (hubs[0] + 1.5 * hubs[1])
    rear, front = bounce * hubs[1], bounce * hubs[0]
    floor = 0.6 * front + 0.4 * rear - 0.8 * bent
    end = rear * 1.1 - 0.1 * front + 1.6 * bent
    if told.second:
        rocked = 0.06 * _mode(f, *told.second) * (1.5 * hubs[1] - hubs[0])
        floor, end = floor + 0.4 * rocked, end + 1.6 * rocked
    return -((2 * np.pi * f) ** 2) * np.stack([floor, end, hubs[0] + 0.05 * bent, hubs[1] + 0.1 * bent])


def _said(told: Told, speed: np.ndarray) -> np.ndarray:
    """What the speedometer says [m/s], smoothed as a reading is."""
    t = np.arange(len(speed)) / RATE
    said = told.scale * np.interp(t - told.lag, t, speed)
    if told.quantum:
        coarse = np.round(said[:: round(RATE)] / told.quantum) * told.quantum
        kernel = np.array([1, 3, 4, 3, 1]) / 12
        coarse = np.convolve(np.pad(coarse, 2, mode="edge"), kernel, mode="valid")
        said = np.interp(t, t[:: round(RATE)], coarse)
    return said


def _recording(told: Told, names: list[str], a: np.ndarray, speed: np.ndarray) -> Recording:
    channels = (*(Channel(name, "m/s^2") for name in names), Channel("speed", "m/s"))
    made = Ride(f"invented, {told.story}, seed {told.seed}", RATE, 0.0, channels, np.vstack([a, speed]))
    sensors = tuple(
        Sensor(name, name.split(", ")[0], "vertical", name.split(", ")[1] if ", " in name else "")
        for name in names
    )
    return Recording(made, sensors, "speed")
