"""More published formulas: dampers for equal modal damping, for a damped host, and without a dashpot.

Words and letters are those of `closed_form`: u mass ratio, f tuning, z = c / (2 m w_damper).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

from .closed_form import EXACT_MASS_RATIO, Optimum, require


@dataclass(frozen=True)
class EqualModes:
    """Two modes that die away equally fast per cycle.

    damping_ratio  of either mode [-]
    lower, upper   their natural frequencies [-], over the host's own
    """

    damping_ratio: float
    lower: float
    upper: float


@dataclass(frozen=True)
class UndampedAbsorber:
    """A mass on a spring.

    mass  [kg]
    rate  [N/m]
    """

    mass: float
    rate: float


def krenk(mass_ratio: float) -> Optimum:
    """Equal modal damping, and a response that is level between the two peaks.

        f = 1 / (1 + u)        z = sqrt(u / (2 (1 + u)))

    mass_ratio  u [-], 0 < u <= 1
    returns     Optimum [-], without a peak: sqrt(1 + 2/u) is the height at g = 1 / sqrt(1 + u) only

    Undamped host.
    Source: S. Krenk, J. Appl. Mech. 72, 936-942 (2005), Frequency analysis of the tuned mass damper; from
    memory.  That this tuning damps both modes equally is also said by S. Krenk, J. Høgsberg, Tuned mass
    absorbers on damped structures, 7th European Conference on Structural Dynamics (2008); abstract seen.

    >>> round(krenk(0.05).damping_ratio, 6)
    0.154303
    """
    require("mass_ratio", mass_ratio, 0, EXACT_MASS_RATIO)
    damping_ratio = sqrt(mass_ratio / (2 * (1 + mass_ratio)))
    return Optimum("Krenk 2005, equal modal damping", mass_ratio, 1 / (1 + mass_ratio), damping_ratio)


def bifurcation(mass_ratio: float) -> Optimum:
    """The damping at which the two modes of a classically tuned damper become one: the most both can have.

        f = 1 / (1 + u)        z = sqrt(u / (1 + u))

    mass_ratio  u [-], 0 < u <= 1
    returns     Optimum [-], without a peak

    There both modal damping ratios are sqrt(u) / 2, both frequencies 1 / sqrt(1 + u).  Undamped host.
    Source: S. Krenk, J. Appl. Mech. 72, 936-942 (2005); from memory.  `sadek` gives the same for such a host.

    >>> round(bifurcation(0.05).damping_ratio, 6)
    0.218218
    """
    require("mass_ratio", mass_ratio, 0, EXACT_MASS_RATIO)
    damping_ratio = sqrt(mass_ratio / (1 + mass_ratio))
    return Optimum("Krenk 2005, bifurcation", mass_ratio, 1 / (1 + mass_ratio), damping_ratio)


def equal_modes(mass_ratio: float, damping_ratio: float) -> EqualModes:
    """The two modes of an undamped host and a damper tuned to f = 1 / (1 + u).

        S^2 = (4 + u + sqrt((4 + u)^2 - 16 z^2 (1 + u))) / 2
        modal damping  z sqrt(1 + u) / S        frequencies  (S -/+ sqrt(S^2 - 4)) / (2 sqrt(1 + u))

    mass_ratio     u [-], 0 < u <= 1
    damping_ratio  z [-], 0 <= z <= that of `bifurcation`; beyond it the two modes differ in damping
    returns        EqualModes [-]

    With frequencies over 1 / sqrt(1 + u) the characteristic polynomial reads the same from both ends, so the
    product of the frequencies is 1 and the damping equal.
    Source: S. Krenk, J. Appl. Mech. 72, 936-942 (2005), characteristic equation; from memory, its roots
    worked out here.

    >>> modes = equal_modes(0.05, krenk(0.05).damping_ratio)
    >>> round(modes.damping_ratio, 6), round(modes.lower, 6), round(modes.upper, 6)
    (0.07881, 0.901572, 1.056356)
    """
    require("damping_ratio", damping_ratio, 0, bifurcation(mass_ratio).damping_ratio, "both")
    u, pushed = mass_ratio, damping_ratio * sqrt(1 + mass_ratio)
    total = sqrt((4 + u + sqrt((4 + u) ** 2 - 16 * pushed**2)) / 2)
    apart = sqrt(max(total**2 - 4, 0.0))  # rounding must not make the double root complex
    upper = (total + apart) / (2 * sqrt(1 + u))
    return EqualModes(pushed / total, 1 / ((1 + u) * upper), upper)


def sadek(mass_ratio: float, host_damping_ratio: float) -> Optimum:
    """Large and nearly equal damping in both modes of a damped host.

        f = (1 - b sqrt(u / (1 + u))) / (1 + u)        z = b / (1 + u) + sqrt(u / (1 + u))

    mass_ratio          u [-], 0.005 <= u <= 0.15
    host_damping_ratio  b [-], 0 <= b <= 0.05
    returns             Optimum [-], without a peak

    The ranges are those of the paper's tables, from memory.  Both modal dampings come to about b + sqrt(u)/2;
    with b > 0 they are equal to a few per cent only.
    Source: F. Sadek, B. Mohraz, A. W. Taylor, R. M. Chung, Earthquake Eng. Struct. Dyn. 26, 617-635 (1997);
    formulas from memory, abstract seen.

    >>> best = sadek(0.05, 0.02)
    >>> round(best.tuning, 6), round(best.damping_ratio, 6)
    (0.948224, 0.237266)
    """
    require("mass_ratio", mass_ratio, 0.005, 0.15, "both")
    require("host_damping_ratio", host_damping_ratio, 0, 0.05, "both")
    root = sqrt(mass_ratio / (1 + mass_ratio))
    tuning = (1 - host_damping_ratio * root) / (1 + mass_ratio)
    return Optimum("Sadek et al. 1997", mass_ratio, tuning, host_damping_ratio / (1 + mass_ratio) + root)


def ioi_ikeda(mass_ratio: float, host_damping_ratio: float) -> Optimum:
    """Lowest peaks for a damped host: fits to numerical optima, b the host's damping ratio.

        f = 1/(1+u) - (0.241 + 1.7 u - 2.6 u^2) b - (1 - 1.9 u + u^2) b^2
        z = sqrt(3 u / (8 (1+u))) + (0.13 + 0.12 u + 0.4 u^2) b - (0.01 + 0.9 u + 3 u^2) b^2

    mass_ratio          u [-], 0.03 <= u <= 0.4
    host_damping_ratio  b [-], 0 <= b < 0.15
    returns             Optimum [-], without a peak

    Force on the host, its displacement watched.  The swept peak lies above the least possible one by up to
    1.3 %, most at the ends of the mass range (0.03 and 0.4); for u = 0.01, outside it, by 2 %.
    Source: T. Ioi, K. Ikeda, Bull. JSME 21(151), 64-71 (1978); coefficients and range from memory.

    >>> best = ioi_ikeda(0.05, 0.02)
    >>> round(best.tuning, 6), round(best.damping_ratio, 6)
    (0.945628, 0.136346)
    """
    require("mass_ratio", mass_ratio, 0.03, 0.4, "both")
    require("host_damping_ratio", host_damping_ratio, 0, 0.15, "left")
    u, b = mass_ratio, host_damping_ratio
    tuning = 1 / (1 + u) - (0.241 + 1.7 * u - 2.6 * u**2) * b - (1 - 1.9 * u + u**2) * b**2
    damping_ratio = sqrt(3 * u / (8 * (1 + u)))
    damping_ratio += (0.13 + 0.12 * u + 0.4 * u**2) * b - (0.01 + 0.9 * u + 3 * u**2) * b**2
    return Optimum("Ioi and Ikeda 1978", u, tuning, damping_ratio)


def split_frequencies(mass_ratio: float, tuning: float = 1.0) -> tuple[float, float]:
    """The two natural frequencies into which an absorber without damping splits its host's one.

        g^4 - (1 + f^2 (1 + u)) g^2 + f^2 = 0

    mass_ratio  u [-], u > 0
    tuning      f [-], f > 0
    returns     lower and upper g [-], over the host's own frequency; their product is f

    For f = 1, g^2 = 1 + u/2 -/+ sqrt(u + u^2/4).
    Source: J. P. Den Hartog, Mechanical Vibrations, 4th edition 1956, section 3.2; from memory.

    >>> [round(g, 5) for g in split_frequencies(0.1)]
    [0.85431, 1.17054]
    """
    require("mass_ratio", mass_ratio, 0, inf, "neither")
    require("tuning", tuning, 0, inf, "neither")
    middle = (1 + tuning**2 * (1 + mass_ratio)) / 2
    upper = sqrt(middle + sqrt(middle**2 - tuning**2))
    return tuning / upper, upper


def mass_ratio_for_split(frequency_ratio: float) -> float:
    """The mass an undamped absorber tuned to its host needs to push one of the two frequencies that far away.

        u = (g - 1/g)^2

    frequency_ratio  g [-], wanted natural frequency over the host's, g > 0, not 1
    returns          u [-]

    Source: S. S. Rao, Mechanical Vibrations, chapter 9, undamped absorber; from memory.

    >>> round(mass_ratio_for_split(2500 / 3000), 5)
    0.13444
    """
    require("frequency_ratio", frequency_ratio, 0, inf, "neither")
    if frequency_ratio == 1:
        raise ValueError("frequency_ratio must lie in (0, 1) or (1, inf), got 1: no absorber leaves it there")
    return (frequency_ratio - 1 / frequency_ratio) ** 2


def absorber_for_stroke(force: float, stroke: float, omega: float) -> UndampedAbsorber:
    """The absorber that holds its host still at one frequency with the stroke there is.

        k = F / X        m = k / w^2

    force    F [N], amplitude of the force that shakes the host, F > 0
    stroke   X [m], amplitude the absorber may take, X > 0
    omega    w [rad/s], frequency of the force, w > 0
    returns  mass [kg] and rate [N/m]

    The host stands still at w and there only; nothing is damped.
    Source: S. S. Rao, Mechanical Vibrations, chapter 9, and D. J. Inman, Engineering Vibration, chapter 5;
    both from memory.

    >>> absorber = absorber_for_stroke(250.0, 0.002, 628.3185)
    >>> round(absorber.rate), round(absorber.mass, 5)
    (125000, 0.31663)
    """
    for name, value in (("force", force), ("stroke", stroke), ("omega", omega)):
        require(name, value, 0, inf, "neither")
    rate = force / stroke
    return UndampedAbsorber(rate / omega**2, rate)
