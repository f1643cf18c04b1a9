"""A damper needs four curves only: hosts made of a vehicle's own, of its modes, and of a file."""

from dataclasses import replace

import numpy as np
import pytest

from counterbounce.model.curve_files import curve_bytes, lines_between, read_curves
from counterbounce.model.example import small_truck
from counterbounce.model.matrices import matrices
from counterbounce.model.modes import modes
from counterbounce.model.parts import damper
from counterbounce.model.points import Row, dense
from counterbounce.model.response import dynamics
from counterbounce.model.road import Roads, Wave, inputs
from counterbounce.sizing.absorber import road_host, with_ballast
from counterbounce.sizing.any_host import host_from_modes, host_from_receptances, place_in_band
from counterbounce.sizing.closed_form import warburton_harmonic
from counterbounce.sizing.limits import Bounds, Place
from counterbounce.sizing.search import best_damper

FREQUENCY = np.linspace(1.6, 5.0, 341)
BAND = (2.6, 3.4)
HEIGHT = 0.004  # [m] crest to trough
BOUNDS = Bounds(30.0, stroke=0.03)
PLACE, WATCHED = "rear end", ("rear end", "front end")


@pytest.fixture(scope="module")
def truck():
    """On a sine road under all its wheels, the rear ones late."""
    return small_truck()


@pytest.fixture(scope="module")
def cause(truck):
    return inputs(Roads((), wave=Wave(12.0, HEIGHT)), truck, 5.0)[0]


@pytest.fixture(scope="module")
def answer(truck, cause):
    """The best damper on the vehicle itself, over speed."""
    points = [truck.points[name] for name in WATCHED]
    place = truck.points[PLACE]
    speeds = FREQUENCY * 12.0
    inside = (BAND[0] <= FREQUENCY) & (BAND[1] >= FREQUENCY)
    ready = dynamics(truck)
    band, rest = (road_host(ready, [cause], speeds[part], points, place) for part in (inside, ~inside))
    return best_damper([Place(PLACE, band, rest)], BOUNDS, 3.0)


def curves(truck, cause, frequency=FREQUENCY):
    """h_ll, h_wl, h_li and h_wi of the truck over the height of its sine road."""
    ready = dynamics(truck)
    place, watched = truck.points[PLACE].row, [truck.points[name].row for name in WATCHED]
    pushed = ready.receptance(frequency, [place, *watched], [place])[..., 0]
    columns = np.repeat(cause.shape[None], len(frequency), axis=0)
    driven = ready.along(frequency, columns, [place, *watched])
    return pushed[:, 0], pushed[:, 1:], driven[:, 0], driven[:, 1:]


def same(found, answer, within=5e-3):
    """Levels and the damper; its damping, in which the optimum is flat, to four times the tolerance."""
    assert found.damper.place == answer.damper.place
    assert found.before == pytest.approx(answer.before, rel=within)
    assert found.level == pytest.approx(answer.level, rel=within)
    assert found.damper.mass == pytest.approx(answer.damper.mass, rel=within)
    assert found.damper.tuned_hz == pytest.approx(answer.damper.tuned_hz, rel=within)
    assert found.damper.damping_ratio == pytest.approx(answer.damper.damping_ratio, rel=4 * within)
    return True


def sized(host):
    return best_damper([place_in_band(host, BAND, PLACE)], BOUNDS, 3.0)


def test_the_answer_is_worth_having(answer):
    assert answer.reduction > 0.4
    assert answer.broken == ()


@pytest.mark.parametrize(("kind", "power"), [("receptance", 0), ("mobility", 1), ("accelerance", 2)])
def test_its_own_curves_give_the_vehicles_damper(truck, cause, answer, kind, power):
    """The same curves over frequency, whatever motion was measured: nothing but rounding lies between."""
    turned = (2j * np.pi * FREQUENCY) ** power
    four = [(c.T * turned).T for c in curves(truck, cause)]
    host = host_from_receptances(FREQUENCY, *four, HEIGHT / 2, kind=kind, points=WATCHED)
    assert same(sized(host), answer, 1e-4)


def test_a_spectrum_in_service_gives_the_vehicles_damper(truck, cause, answer):
    """Where no input was measured: the motions themselves, level 1."""
    h_ll, h_wl, h_li, h_wi = curves(truck, cause)
    host = host_from_receptances(FREQUENCY, h_ll, h_wl, h_li * HEIGHT / 2, h_wi * HEIGHT / 2)
    assert same(sized(host), answer, 1e-4)


def test_a_level_along_frequency_scales_the_input(truck, cause):
    four, ramp = curves(truck, cause), np.linspace(1.0, 2.0, len(FREQUENCY))
    one, two = (host_from_receptances(FREQUENCY, *four, level) for level in (1.0, ramp))
    assert np.allclose(two.before(), one.before() * ramp[:, None], rtol=1e-12)
    args = [20.0], [7e3], [100.0]
    assert np.allclose(two.after(*args), one.after(*args) * ramp[:, None], rtol=1e-12)
    assert np.allclose(two.stroke(*args), one.stroke(*args) * ramp, rtol=1e-12)


def curves_from_its_hub(truck, axle):
    """h_ll, h_wl, h_li and h_wi over the height of the road under one axle."""
    ready = dynamics(truck)
    place, watched = truck.points[PLACE].row, [truck.points[name].row for name in WATCHED]
    pushed = ready.receptance(FREQUENCY, [place, *watched], [place])[..., 0]
    driven = ready.road_response(FREQUENCY, [place, *watched])[..., truck.axles.index(axle)]
    return pushed[:, 0], pushed[:, 1:], driven[:, 0], driven[:, 1:]


def proportional(truck):
    """Each spring, tyres apart, with a damper of its own: then undamped shapes are the damped ones."""
    kept = [p for p in truck.parts if p.kind != "damper"]
    springs = [p for p in kept if p.kind == "spring"]
    return replace(truck, parts=(*kept, *(damper(p.name, 0.004 * p.value, p.row, Row()) for p in springs)))


@pytest.mark.parametrize(("dampers", "within"), [("proportional", 1e-6), ("its own", 0.01)])
def test_its_modes_give_the_vehicles_damper(dampers, within):
    """Undamped shapes and damping ratios, as a modal test gives them, pushed at the front end.  Where dampers
    are not proportional to springs the shapes leave something out; on this lightly damped truck, 1 %."""
    truck = proportional(small_truck()) if dampers == "proportional" else small_truck()
    found, ready = modes(truck), dynamics(truck)
    names = (PLACE, *WATCHED)
    rows = [truck.points[n].row for n in names]
    a, *b = dense(rows, found.coordinates) @ found.shapes
    host = host_from_modes(
        FREQUENCY, found.undamped / 2 / np.pi, found.damping_ratio, a, b, b[1], 100.0, points=WATCHED
    )
    known = ready.receptance(FREQUENCY, rows, [rows[0], rows[2]])
    own = host_from_receptances(
        FREQUENCY, known[:, 0, 0], known[:, 1:, 0], known[:, 0, 1], known[:, 1:, 1], 100.0
    )
    assert same(sized(host), sized(own), within)


def test_a_road_under_a_tyre_is_a_force_on_the_hub():
    """Rate times height, where the tyre has no damper."""
    truck = small_truck()
    parts = [p for p in truck.parts if p.kind == "spring" or p.kind == "mass"]
    parts += [damper(p.name, 1e-9 * p.value, p.row, Row()) for p in parts if p.kind == "spring"]
    bare = replace(truck, parts=tuple(parts))
    found = modes(bare)
    a, *b, hub = shapes(found, bare)
    host = host_from_modes(FREQUENCY, found.undamped / 2 / np.pi, found.damping_ratio, a, b, 3.2e6 * hub)
    own = host_from_receptances(FREQUENCY, *curves_from_its_hub(bare, bare.axles[-1]))
    assert np.allclose(host.before(), own.before(), rtol=1e-4)


def shapes(found, truck):
    names = (PLACE, *WATCHED, "axle.rear")
    return dense([truck.points[name].row for name in names], found.coordinates) @ found.shapes


def test_modal_masses_undo_the_scale_of_shapes():
    found = modes(small_truck())
    scale, (a, *b, c) = np.array([2.0, 0.5, -3.0, 1.5]), shapes(found, small_truck())
    args = FREQUENCY, found.frequency_hz, found.damping_ratio
    one = host_from_modes(*args, a, b, c)
    two = host_from_modes(*args, a * scale, b * scale, c * scale, modal_mass=scale**2)
    for name in ("rise", "push", "give", "lift"):
        assert np.allclose(getattr(one.host, name), getattr(two.host, name), rtol=1e-12)


def test_complex_shapes_give_the_curves_of_a_heavily_damped_vehicle(fleet):
    """Shocks make shapes complex: with psiT (2 pole M + C) psi as their scale nothing is left out."""
    truck = fleet("half").vehicle
    found, system = modes(truck), matrices(truck)
    poles, psi = found.poles[:, 0], found.damped_shapes
    scale = np.einsum("im,mij,jm->m", psi, 2 * poles[:, None, None] * system.M + system.C, psi)
    rows = dense([truck.points[n].row for n in ("rear end", "front end", "axle.rear")], found.coordinates)
    a, b, c = rows @ psi
    host = host_from_modes(
        FREQUENCY, found.frequency_hz, found.damping_ratio, a, b, c, modal_mass=scale / (2j * poles.imag)
    )
    points = [truck.points[n].row for n in ("rear end", "front end", "axle.rear")]
    known = dynamics(truck).receptance(FREQUENCY, points, points)
    four = known[:, 0, 0], known[:, 1, 0], known[:, 0, 2], known[:, 1, 2]
    own = host_from_receptances(FREQUENCY, *four)
    for name in ("rise", "push", "give", "lift"):
        peer = getattr(own.host, name)
        assert np.allclose(getattr(host.host, name), peer, rtol=1e-8, atol=1e-10 * np.abs(peer).max())
    # real shapes of the same truck are another thing
    plain = host_from_modes(FREQUENCY, found.frequency_hz, found.damping_ratio, *(rows @ found.shapes))
    assert not np.allclose(plain.host.give, own.host.give, rtol=0.02)


def test_a_single_mass_under_a_force_gets_the_textbooks_damper():
    """Acceleration of a mass under a force: Warburton 1982, Earthquake Eng. Struct. Dyn. 10, table of optima
    for an undamped host (from memory).  The host's own 0.1 % of damping, and what lies between fixed points
    and the true minimax, move the damping by 2 %."""
    mu, f = 0.05, np.linspace(2.0, 10.0, 1601)
    host = host_from_modes(f, [5.0], [0.001], [1.0], [1.0], [1.0], modal_mass=100.0)
    best = best_damper([place_in_band(host, (2.0, 10.0), "mass")], Bounds(100 * mu), 5.0)
    known = warburton_harmonic(mu, "force_acceleration")
    assert best.damper.mass == pytest.approx(5.0, rel=1e-6)
    assert best.damper.tuned_hz / 5.0 == pytest.approx(known.tuning, rel=3e-3)
    assert best.damper.damping_ratio == pytest.approx(known.damping_ratio, rel=0.02)
    assert best.level * np.sqrt(2) * 100 == pytest.approx(known.peak, rel=0.01)


def test_a_file_of_curves_gives_the_vehicles_damper(tmp_path):
    """UFF 58, written for the two points and read back."""
    truck, f = small_truck(), lines_between(1.6, 5.0, 341)
    ends = [truck.points[name] for name in WATCHED]
    rows = [p.row for p in ends]
    values = dynamics(truck).receptance(f, rows, rows)
    file = tmp_path / "truck.unv"
    file.write_bytes(curve_bytes(f, values, ends))
    h = {(c.response, c.reference): c for c in read_curves(file)}
    one = h["rear end", "rear end"]
    at_place, pushed = ([h[name, end].values for name in WATCHED] for end in ("rear end", "front end"))
    back = host_from_receptances(
        one.frequency,
        one.values,
        np.transpose(at_place),
        h["rear end", "front end"].values,
        np.transpose(pushed),
        100.0,
        kind=one.kind,
        points=WATCHED,
    )
    own = host_from_receptances(f, values[:, 0, 0], values[:, :, 0], values[:, 0, 1], values[:, :, 1], 100.0)
    assert same(sized(back), sized(own), 1e-6)


ONE = np.full(4, 1.0 - 0.1j)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"frequency": [1.0, 3.0, 2.0, 4.0]}, "ascend"),
        ({"frequency": [0.0, 1.0, 2.0, 3.0]}, "above zero"),
        ({"h_ll": ONE[:3]}, "h_ll has shape"),
        ({"h_li": ONE[:, None]}, "h_li has shape"),
        ({"h_wl": np.ones((4, 2)) - 0.1j}, "2 watched points"),
        ({"h_wi": ONE * np.nan}, "not finite"),
        ({"h_ll": ONE.real}, "no damping"),
        ({"h_ll": ONE.conj()}, "conjugate"),
        ({"points": ("a", "b")}, "2 points are named"),
    ],
)
def test_what_cannot_be_a_host_is_refused(given, said):
    right = {"frequency": [1.0, 2.0, 3.0, 4.0], **dict.fromkeys(("h_ll", "h_wl", "h_li", "h_wi"), ONE)}
    assert host_from_receptances(**right).before().shape == (4, 1)
    with pytest.raises(ValueError, match=said):
        host_from_receptances(**{**right, **given})


def test_modes_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match="2 modes"):
        host_from_modes([1.0, 2.0], [5.0, 6.0], [0.1], [1.0], [1.0], [1.0])
    with pytest.raises(ValueError, match="below 1"):
        host_from_modes([1.0, 2.0], [5.0], [1.2], [1.0 + 1j], [1.0], [1.0])
    with pytest.raises(ValueError, match="lies within"):
        place_in_band(host_from_modes([1.0, 2.0], [5.0], [0.1], [1.0], [1.0], [1.0]), (8.0, 9.0), "x")


def test_a_place_is_judged_inside_its_band_and_guarded_outside(truck, cause):
    whole = host_from_receptances(FREQUENCY, *curves(truck, cause))
    place = place_in_band(whole, BAND, PLACE, 25.0)
    inside, outside = place.band.speeds, place.rest.speeds
    assert (inside.min(), inside.max()) == pytest.approx(BAND, abs=0.011)
    assert ((outside < BAND[0]) | (outside > BAND[1])).all()
    assert sorted([*inside, *outside]) == list(FREQUENCY)
    assert np.array_equal(place.rest.before(), whole.before()[np.isin(FREQUENCY, outside)])
    assert (place.name, place.heaviest) == (PLACE, 25.0)


def test_no_weight_changes_nothing_and_ballast_is_assembled(truck, cause):
    """Ballast on the curves is ballast on the vehicle."""
    host = host_from_receptances(FREQUENCY, *curves(truck, cause))
    assert np.allclose(host.after([0.0], [1.0], [0.0])[0], host.before(), rtol=1e-12)
    heavier = with_ballast(truck, PLACE, 200.0)
    known = host_from_receptances(FREQUENCY, *curves(heavier, cause))
    assert np.allclose(host.ballast([200.0])[0], known.before(), rtol=1e-9)
