"""Friction, stops and shocks of an axle, from its springs and shocks: rules for what nobody measures.

They are asked only where a case asks for forces that are not proportional.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from types import MappingProxyType
from typing import Any

import numpy as np

from .axle_estimates import PRACTICE, is_given
from .numbers import Numbers, Rule
from .tyres import GRAVITY

CLOSING = 0.6  # [-] damping while closing, over the mean of both ways
BUSH_GIVES = 2 * pi * 30.0  # [rad/s] where a shock's bush gives as much as the shock


def _friction(numbers: Numbers, name: str) -> Any:
    """A tenth of the load on the leaves [N]: 1000 lb a side under 20 000 lb, amid UMTRI's 200 to 2000."""
    return 0.1 * numbers[f"axle.{name}.sprung_load"] * GRAVITY


def _stop_rate(numbers: Numbers, name: str) -> Any:
    """Rubber stops, three times the springs they stand beside [N/m]."""
    return 3.0 * numbers[f"axle.{name}.spring_rate"]


def _compression(numbers: Numbers, name: str) -> Any:
    """What the mean leaves beside a given rebound, else 0.6 of the mean [N s/m]."""
    return _one_way(numbers, name, CLOSING, "rebound_damping")


def _rebound(numbers: Numbers, name: str) -> Any:
    """What the mean leaves beside a given compression, else 1.4 of the mean [N s/m]."""
    return _one_way(numbers, name, 2 - CLOSING, "compression_damping")


def _one_way(numbers: Numbers, name: str, share: float, other: str) -> Any:
    mean = numbers[f"axle.{name}.damping"]
    if not is_given(numbers, f"axle.{name}", other):
        return share * mean
    left = 2 * mean - numbers[f"axle.{name}.{other}"]
    return np.where(left > 0, left, share * mean)


def _bush_rate(numbers: Numbers, name: str) -> Any:
    """The bushes give as much as the shocks at 30 Hz [N/m]."""
    return BUSH_GIVES * numbers[f"axle.{name}.damping"]


LAW_RULES: Mapping[str, Rule] = MappingProxyType(
    {
        "axle.*.friction": Rule(
            _friction, 1.0, "a tenth of the load; range of UMTRI-86-12 (from memory), " + PRACTICE, "assumed"
        ),
        "axle.*.bump_travel": Rule(lambda numbers, name: 0.07, 0.5, "laden; " + PRACTICE, "assumed"),
        "axle.*.rebound_travel": Rule(lambda numbers, name: 0.09, 0.5, "laden; " + PRACTICE, "assumed"),
        "axle.*.stop_rate": Rule(
            _stop_rate, 1.0, "rubber stops, three times the springs; " + PRACTICE, "assumed"
        ),
        "axle.*.compression_damping": Rule(
            _compression, 0.3, "0.6 of the mean damping, or what rebound leaves of it; " + PRACTICE, "assumed"
        ),
        "axle.*.rebound_damping": Rule(
            _rebound, 0.3, "1.4 of the mean damping, or what compression leaves of it; " + PRACTICE, "assumed"
        ),
        "axle.*.bush_rate": Rule(
            _bush_rate, 1.0, "bushes give as much as the shocks at 30 Hz; " + PRACTICE, "assumed"
        ),
    }
)
"""By path, * the name of the axle."""
