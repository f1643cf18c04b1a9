"""The textbook vehicles are copied right: frequencies by hand from the numbers of each file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from counterbounce.model.case import Case, load

CASES = Path(__file__).parents[1] / "cases"


def two_springs(case: Case) -> list[float]:
    number = case.numbers
    mass, inertia = number["vehicle.sprung_mass"], number["vehicle.pitch_inertia"]
    centre = number["vehicle.centre_of_gravity"]
    arms = [number[f"axle.{axle.name}.station"] - centre for axle in case.plan.axles]
    rates = [number[f"axle.{axle.name}.spring_rate"] for axle in case.plan.axles]
    stiffness = sum(k * np.outer([1, a], [1, a]) for k, a in zip(rates, arms, strict=True))
    squares = np.linalg.eigvals(np.diag([1 / mass, 1 / inertia]) @ stiffness)
    return sorted(np.sqrt(squares.real) / (2 * np.pi))


def quarter(case: Case) -> list[float]:
    number, axle = case.numbers, f"axle.{case.plan.axles[0].name}"
    body, hub = number["vehicle.sprung_mass"], number[f"{axle}.unsprung_mass"]
    spring, tyre = number[f"{axle}.spring_rate"], number[f"{axle}.tyre_rate"]
    matrix = np.array([[spring / body, -spring / body], [-spring / hub, (spring + tyre) / hub]])
    return sorted(np.sqrt(np.linalg.eigvals(matrix)) / (2 * np.pi))


@pytest.mark.parametrize(
    ("name", "hertz", "tolerance"),
    [
        (
            "b1_thomson_car",
            [1.09808, 1.44059],
            1e-4,
        ),  # Thomson 1965, p. 181 (from memory); 32.2 ft/s^2 in the text
        (
            "b2_rao_bounce_pitch",
            [5.85929 / 2 / np.pi, 9.43409 / 2 / np.pi],
            1e-5,
        ),  # Rao, example 5.7 (from memory)
        (
            "b4_gillespie_ride",
            [1.069, 1.130],
            2e-3,
        ),  # Gillespie 1992, ch. 5 (from memory); gravity 386 in/s^2
    ],
)
def test_textbook_cars_on_two_springs(name, hertz, tolerance):
    assert two_springs(load(CASES / f"{name}.toml")) == pytest.approx(hertz, rel=tolerance)


@pytest.mark.parametrize(
    ("name", "hertz"),
    [
        (
            "b7_large_saloon",
            [7.69321 / 2 / np.pi, 77.50794 / 2 / np.pi],
        ),  # ride notes of an open university course
        ("b9_quarter_375", [1.41124, 8.79640]),  # Jazar (from memory)
        ("b9_quarter_250", [1.21307, 9.96088]),  # Rajamani (from memory)
    ],
)
def test_textbook_quarter_cars(name, hertz):
    assert quarter(load(CASES / f"{name}.toml")) == pytest.approx(hertz, rel=1e-5)


def test_rao_on_a_rough_road():
    """Rao, Mechanical Vibrations, rough-road example (from memory): r = 0.318652 at 20 km/h."""
    case = load(CASES / "b5_rao_rough_road.toml")
    number, wave = case.numbers, case.roads.wave
    natural = np.sqrt(number["axle.wheel.spring_rate"] / number["vehicle.sprung_mass"])
    assert wave is not None
    assert 2 * np.pi * 20 / 3.6 / wave.length / natural == pytest.approx(0.318652, rel=1e-5)
    assert number["axle.wheel.damping"] / (2 * number["vehicle.sprung_mass"] * natural) == pytest.approx(0.5)
    assert wave.height / 2 == pytest.approx(0.05)


def test_golden_car():
    """Sayers 1995, TRR 1501: the constants of the International Roughness Index."""
    number = load(CASES / "c1_golden_car.toml").numbers
    names = ("tyre_rate", "spring_rate", "unsprung_mass", "damping")
    constants = [number[f"axle.wheel.{name}"] / number["vehicle.sprung_mass"] for name in names]
    assert constants == pytest.approx([653.0, 63.3, 0.15, 6.0])
    assert number["axle.wheel.contact_length"] == 0.25
