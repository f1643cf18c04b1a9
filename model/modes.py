"""Natural frequencies, damping, shapes and names, and which part holds or loses the energy of each mode.

A mode's identity is its index, in order of undamped frequency; its name may be joint, and is for people.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from .matrices import Matrices, matrices
from .notebook import shown_as_html
from .parts import Kind
from .points import dense
from .vehicle import Vehicle

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

NAMED_SHARE = 0.25


@dataclass(frozen=True)
class Modes:
    """All modes of a vehicle, n of them, in order of undamped frequency.

    coordinates     (n,) names
    undamped        [rad/s] (n,)
    shapes          real, M-orthonormal, (n coordinates, n modes)
    poles           [1/s] (n, 2): a complex pair, or two real poles of an overdamped mode
    damped_shapes   complex, (n coordinates, n modes), of the first pole of each pair
    names           (n,) joint where shares are joint
    shares          (components, n): of kinetic energy in each component, by label; they sum to one
    energy          part -> (n,) share of the strain energy; sums to one over the parts
    dissipation     part -> (n,) share of the energy lost; sums to one where anything is lost
    """

    coordinates: tuple[str, ...]
    undamped: Floats
    shapes: Floats
    poles: Complexes
    damped_shapes: Complexes
    names: tuple[str, ...]
    shares: Mapping[str, Floats]
    energy: Mapping[str, Floats]
    dissipation: Mapping[str, Floats]

    @property
    def natural(self) -> Floats:
        """|pole| [rad/s], (n,); the square root of the product of both poles where they are real."""
        return np.asarray(np.sqrt(np.abs(self.poles[:, 0] * self.poles[:, 1])))

    @property
    def damping_ratio(self) -> Floats:
        """Share of critical damping [-], (n,); 1 or more where the poles are real."""
        natural = self.natural
        lost = -self.poles.sum(axis=1).real / 2
        return np.asarray(lost / np.where(natural > 0, natural, 1.0) + 0.0)  # no minus before a zero

    @property
    def frequency_hz(self) -> Floats:
        """|pole| / 2 pi [Hz], (n,)."""
        return self.natural / (2 * np.pi)

    def effective_mass(self, station: Mapping[str, float]) -> Floats:
        """Modal mass as felt at a point [kg], (n,): phiT M phi / phi(point)^2; infinite on a node.

        station  row of the point [m per unit coordinate]
        """
        rise = dense([station], self.coordinates)[0] @ self.shapes
        with np.errstate(divide="ignore"):
            return np.asarray(1.0 / rise**2)

    def shape_at(self, point: Mapping[str, float]) -> Floats:
        """Rise of a point in each undamped mode [m per unit modal amplitude], (n,)."""
        return np.asarray(dense([point], self.coordinates)[0] @ self.shapes)

    def _repr_html_(self) -> str:
        rows = [
            (
                name,
                f"{f:.3f}",
                f"{z:.4f}",
                max(self.energy, key=lambda part: self.energy[part][i], default=""),
            )
            for i, (name, f, z) in enumerate(
                zip(self.names, self.frequency_hz, self.damping_ratio, strict=True)
            )
        ]
        columns = ("mode", "frequency [Hz]", "damping ratio [-]", "most of its energy is held by")
        return shown_as_html("Modes", columns, rows)


def modes(vehicle: Vehicle) -> Modes:
    """Solve for all modes, light and heavy damping alike.

    Raises ValueError where the mass matrix is singular (a vehicle from `build` never is).

    >>> from .example import small_truck
    >>> found = modes(small_truck())
    >>> found.names[0], round(float(found.frequency_hz[0]), 2), round(float(found.damping_ratio[0]), 3)
    ('body bounce', 2.24, 0.03)
    """
    system = matrices(vehicle)
    still, shapes = undamped(system)
    poles, damped_shapes = _damped(system, shapes)
    shares = _component_shares(vehicle, system.M, shapes)
    return Modes(
        system.coordinates,
        still,
        shapes,
        poles,
        damped_shapes,
        _names(shares),
        shares,
        part_shares(vehicle, "spring", shapes),
        part_shares(vehicle, "damper", damped_shapes),
    )


def undamped(system: Matrices) -> tuple[Floats, Floats]:
    """Natural frequencies [rad/s], (n,), and M-orthonormal shapes (n coordinates, n modes) without damping.

    Of many vehicles at once: (vehicles, n) and (vehicles, n, n).

    >>> from .example import small_truck
    >>> undamped(matrices(small_truck()))[0].round(1).tolist()
    [14.1, 18.9, 82.0, 87.5]
    """
    if system.M.ndim == 2:
        squared, shapes = linalg.eigh(system.K, system.M)
    else:
        inverse = np.linalg.inv(np.linalg.cholesky(system.M))
        turned = np.swapaxes(inverse, -1, -2)
        squared, shapes = np.linalg.eigh(inverse @ system.K @ turned)
        shapes = turned @ shapes
    return np.sqrt(np.maximum(squared, 0.0)), shapes


# --- damped modes ---------------------------------------------------------------------------------------


def _damped(system: Matrices, shapes: Floats) -> tuple[Complexes, Complexes]:
    """Pole pairs and shapes, each given to the undamped mode whose shape it resembles most."""
    from scipy.optimize import linear_sum_assignment

    stiffness, damping = (shapes.T @ a @ shapes for a in (system.K, system.C))
    n = len(shapes)
    state = np.block([[np.zeros((n, n)), np.eye(n)], [-stiffness, -damping]])
    values, vectors = linalg.eig(state)
    pairs, modal = _pairs(values, vectors[:n])
    likeness = np.abs(modal) ** 2 / (np.abs(modal) ** 2).sum(axis=0)
    columns = linear_sum_assignment(-likeness)[1]
    return pairs[columns], shapes @ modal[:, columns]


def _pairs(values: Complexes, vectors: Complexes) -> tuple[Complexes, Complexes]:
    """Conjugate pairs, and real poles two by two where their shapes are most alike."""
    upper = np.flatnonzero(values.imag > 0)
    pairs = [(values[i], values[i].conj()) for i in upper]
    shapes = [vectors[:, i] for i in upper]
    real = [int(i) for i in np.flatnonzero(values.imag == 0)]
    unit = vectors / np.linalg.norm(vectors, axis=0)
    while real:
        first = real.pop(0)
        partner = max(real, key=lambda j: abs(np.vdot(unit[:, first], unit[:, j])))
        real.remove(partner)
        slow, fast = sorted((first, partner), key=lambda j: abs(values[j]))
        pairs.append((values[slow], values[fast]))
        shapes.append(vectors[:, slow])
    return np.array(pairs), np.array(shapes).T


# --- shares ---------------------------------------------------------------------------------------------


def part_shares(vehicle: Vehicle, kind: Kind, shapes: NDArray[np.generic]) -> dict[str, Floats]:
    """Share of each named part in value * |row . shape|^2, per mode (n,); zero where nothing is held or lost.
    Of many vehicles at once: (vehicles, n).

    kind    the parts that are meant: springs hold energy, dampers lose it
    shapes  real or complex, (n coordinates, n modes) [m per unit modal amplitude]

    >>> from .example import small_truck
    >>> truck = small_truck()
    >>> held = part_shares(truck, "spring", modes(truck).shapes)
    >>> {part: round(float(share[0]), 2) for part, share in held.items()}     # in body bounce
    {'front spring': 0.53, 'front tyres': 0.14, 'rear spring': 0.27, 'rear tyres': 0.05}
    """
    held: dict[str, Floats] = {}
    for part in (p for p in vehicle.parts if p.kind == kind):
        stretch = np.abs(dense([part.row], vehicle.coordinates) @ shapes)[..., 0, :] ** 2
        held[part.name] = held.get(part.name, 0.0) + np.asarray(part.value)[..., None] * stretch
    total = np.sum(list(held.values()), axis=0) if held else 0.0
    return {name: np.asarray(value / np.where(total > 0, total, 1.0)) for name, value in held.items()}


def _component_shares(vehicle: Vehicle, mass: Floats, shapes: Floats) -> dict[str, Floats]:
    """Squared coordinates of each mode in an M-orthonormal basis of components, summed by label."""
    basis: list[Floats] = []
    shares: dict[str, Floats] = {}
    for label, row in vehicle.components:
        vector = dense([row], vehicle.coordinates)[0]
        for _ in range(2):  # once more, for the rounding of the first pass
            for other in basis:
                vector = vector - other * (other @ mass @ vector)
        vector = vector / np.sqrt(vector @ mass @ vector)
        basis.append(vector)
        name = "frame bending" if label.startswith("frame bend") else label
        shares[name] = shares.get(name, 0.0) + (vector @ mass @ shapes) ** 2
    return shares


def _names(shares: Mapping[str, Floats]) -> tuple[str, ...]:
    """The components that hold a quarter or more, largest first; equal names are numbered."""
    labels, table = list(shares), np.array(list(shares.values()))
    plain = []
    for column in table.T:
        order = np.argsort(-column)
        named = [labels[i] for i in order if column[i] >= NAMED_SHARE] or [labels[order[0]]]
        plain.append(" with ".join(named))
    seen: Counter[str] = Counter()
    counted = Counter(plain)
    names = []
    for name in plain:
        seen[name] += 1
        names.append(name if counted[name] == 1 else f"{name} {seen[name]}")
    return tuple(names)


# --- what changes a mode --------------------------------------------------------------------------------


def pole_sensitivity(vehicle: Vehicle, found: Modes) -> dict[str, Complexes]:
    """How far each pole moves when a part grows: d pole / d ln(value) [1/s], (n,), by part name.

    d lambda = -psiT (K' + lambda C' + lambda^2 M') psi / psiT (2 lambda M + C) psi; exact for simple poles.
    A spring and a damper of one name are one entry.

    >>> from .example import small_truck
    >>> truck = small_truck()
    >>> found = modes(truck)
    >>> moved = pole_sensitivity(truck, found)["sprung mass"][0] / found.poles[0, 0]
    >>> round(float(moved.real), 2)     # 1 % more mass, 0.47 % less
    -0.47
    """
    system, poles = matrices(vehicle), found.poles[:, 0]
    psi = found.damped_shapes
    scale = 2 * poles * _quadratic(psi, system.M) + _quadratic(psi, system.C)
    power = {"spring": poles**0, "damper": poles, "mass": poles**2}
    moved: dict[str, Complexes] = {}
    for part in vehicle.parts:
        stretch = (dense([part.row], vehicle.coordinates)[0] @ psi) ** 2
        moved[part.name] = moved.get(part.name, 0) - part.value * power[part.kind] * stretch / scale
    return moved


def _quadratic(shapes: Complexes, matrix: Floats) -> Complexes:
    return np.asarray(np.einsum("im,ij,jm->m", shapes, matrix, shapes, optimize=True))
