"""A small invented truck that the examples in docstrings share: a case file without a file."""

from __future__ import annotations

from functools import cache

from .case import Case, parse
from .settle import settled
from .vehicle import Vehicle

TEXT = """
name = "Small truck"
note = "Invented, for the examples in docstrings."
[vehicle]
model = "half"
wheelbase = "4 m"
sprung_mass = "4 t ± 5 % (measured: weighbridge)"
centre_of_gravity = "2.2 m"
pitch_inertia = "9000 kg*m^2"
[frame]
front_overhang = "1 m"
rear_overhang = "2 m"
[axle.front]
load = "2.1 t"
unsprung_mass = "300 kg"
spring_rate = "400 kN/m"
damping = "2 kN*s/m"
tyre_rate = "1.6 MN/m"
circumference = "2.4 m"
[axle.rear]
load = "2.7 t"
unsprung_mass = "500 kg"
spring_rate = "600 kN/m"
damping = "3 kN*s/m"
tyre_rate = "3.2 MN/m"
circumference = "2.4 m"
rating = "2.75 t"
[inputs]
wheel_orders = [1]
speeds = { from = "5 m/s", to = "15 m/s" }
[limits]
places = ["rear end"]
mass = "60 kg"
[checks]
tyres = "good"
wheel_nuts = "good"
bearings = "good"
steering_joints = "good"
lateral_link = "good"
u_bolts = "good"
mounts = "good"
frame = "good"
hitch_play = "good"
[[observation]]
change = "how fast it shakes"
result = "countable"
[[observation]]
change = "known-good wheels"
result = "stayed"
"""


@cache
def small_case() -> Case:
    """The case of the small truck.

    >>> small_case().name
    'Small truck'
    """
    return parse(TEXT, "small_truck.toml")


@cache
def small_truck() -> Vehicle:
    """The small truck itself: a rigid half vehicle on two axles.

    >>> small_truck().coordinates
    ('bounce', 'pitch', 'axle.front', 'axle.rear')
    """
    one = small_case()
    return settled(one.plan, one.numbers)
