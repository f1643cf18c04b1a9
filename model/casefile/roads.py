"""What the road and the wheels ask of the vehicle, out of the tables of a case file."""

from __future__ import annotations

from pathlib import Path

from ..road import Driveline, Joints, Roads, Wave
from ..roughness import Roughness, from_one_radian, of_class
from ..units import Reading
from ..wheels import WheelFault
from .schema import InputsTable, RoughnessTable, WheelTable

DEFAULT_ORDERS = (1, 2, 3, 4)


def roads_of(inputs: InputsTable, folder: Path) -> Roads:
    """All inputs of a case; its profile's file is looked for from the folder of the case."""
    faults = tuple(map(_wheel, inputs.wheel))
    asked = DEFAULT_ORDERS if inputs.wheel_orders is None else inputs.wheel_orders
    difference = _value(inputs.rolling_difference)
    return Roads(
        wheel_orders=tuple(sorted({*asked, *(fault.order for fault in faults)})),
        wheel_faults=faults,
        rolling_difference=Roads.rolling_difference if difference is None else difference,
        joints=_joints(inputs),
        wave=Wave(inputs.wave.length.value, inputs.wave.height.value) if inputs.wave else None,
        driveline=_driveline(inputs),
        roughness=_roughness(inputs.roughness) if inputs.roughness else None,
        profile=folder / inputs.profile if inputs.profile else None,
    )


def _value(reading: Reading | None) -> float | None:
    return None if reading is None else reading.value


def _or_zero(reading: Reading | None) -> float:
    return 0.0 if reading is None else reading.value


def _values(readings: list[Reading]) -> tuple[float, ...]:
    return tuple(reading.value for reading in readings)


def _wheel(table: WheelTable) -> WheelFault:
    lists = (table.run_out, table.force_variation, table.imbalance)
    return WheelFault(table.axle, table.order, *map(_values, lists))


def _joints(inputs: InputsTable) -> Joints | None:
    joints = inputs.joints
    if joints is None:
        return None
    heights = (joints.step, joints.curl, joints.gap_width, joints.gap_depth)
    return Joints(joints.spacing.value, *map(_or_zero, heights))


def _driveline(inputs: InputsTable) -> Driveline | None:
    line = inputs.driveline
    return Driveline(line.axle_ratio.value, _value(line.gear_ratio), line.cylinders) if line else None


def _roughness(table: RoughnessTable) -> Roughness:
    if table.class_ is not None:
        return of_class(table.class_)
    waviness = 2.0 if table.waviness is None else table.waviness.value
    if table.density is not None:
        return Roughness(table.density.value, waviness, source=table.density.source)
    assert table.angular_density is not None  # one of the three stands there, or the file had a fault
    density = from_one_radian(table.angular_density.value, waviness)
    return Roughness(density, waviness, source=table.angular_density.source)
