import pytest

from counterbounce.model import tyres


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("  lt245/75r16 120/116S load range E ", "LT245/75R16"),
        ("P265/70R17 113T", "265/70R17"),
        ("315/80 R 22.5", "315/80R22.5"),
        ("315/80R22.5 156/150L (154/150M) TL M+S", "315/80R22.5"),
        ("225/75R16C 121/120R", "225/75R16"),
        ("225/70R19.5(G)", "225/70R19.5"),
        ("205/55ZR16 91W", "205/55R16"),
        ("31X10.50R15LT", "31x10.50R15"),
        ("31×10.50 R 15", "31x10.50R15"),
        ("7.50R16LT", "7.50R16"),
    ],
)
def test_the_same_tyre_written_differently(written, plain):
    assert tyres.parse_size(written) == tyres.parse_size(plain)


def test_flotation_sizes_state_their_diameter():
    size = tyres.parse_size("31x10.50R15LT")
    assert size.diameter == pytest.approx(31 * 0.0254, rel=1e-12)
    assert size.width == pytest.approx(10.5 * 0.0254)
    assert size.rim == pytest.approx(15 * 0.0254)
    assert size.aspect == pytest.approx((31 - 15) / 2 / 10.5)
    assert size.aspect_given


def test_bias_tyres_are_told_from_radials():
    assert not tyres.parse_size("9.00-20").radial
    assert not tyres.parse_size("ST205/75D15").radial
    assert tyres.parse_size("9.00R20").radial
    assert tyres.parse_size("205/55ZR16").radial


@pytest.mark.parametrize(
    "written",
    [
        "",
        "big ones",
        "225/70",
        "22570R19.5",
        "225/70R195",
        "225/70R19.5x",
        "225/7R19.5",
        "925/70R19.5",
        "225/70R5",
        "225/15R16",
        "225/70R08",
        "225/70R19.5 or 245/70R19.5",
        "31R15.5x",
        "99R22.5",
        "14x10.50R15",
        "-225/70R16",
    ],
)
def test_what_is_no_size_is_refused_with_what_is_wanted(written):
    with pytest.raises(ValueError, match=r"wanted a tyre size as on the sidewall, such as .*225/70R19\.5"):
        tyres.parse_size(written)


def test_a_refusal_says_which_number_is_out_of_range():
    with pytest.raises(ValueError, match="aspect of 25 to 115 %"):
        tyres.parse_size("225/15R16")


def test_contact_length_is_bounded():
    assert tyres.contact_length(1.0, 500e3, 0.25, 0.8) == pytest.approx(0.12)
    assert tyres.contact_length(1e6, 500e3, 0.25, 0.8) == pytest.approx(0.24)
    assert tyres.contact_length(15e3, 500e3, 0.25, 0.8) == pytest.approx(0.16)
