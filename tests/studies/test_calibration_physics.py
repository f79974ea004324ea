"""The study's own simulator, held against closed forms; nothing of the product is called here."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import optimize, special
from studies.calibration import power, radio
from studies.calibration.cells import Cell, open_v, soc_at
from studies.calibration.flyer import fly
from studies.calibration.ground import RASTER, Place, profile
from studies.calibration.population import RADIO, SHIFT_SD, Quantity, radio_error_db, shifts
from studies.calibration.world import Truth, truth_of

pytestmark = pytest.mark.published

BARE = power.Craft(
    mass_kg=0.7, disc_m2=0.050671 / 4.0, radius_m=0.0635, solidity=0.0, blade_drag=0.0, induced_factor=1.0,
    rotor_drag_ratio=0.0, drag_area_m2=0.0, drag_exponent=2.0, efficiency=1.0, auxiliary_w=0.0,
    thrust_coefficient=0.02, descent_share=0.9, duct_share=0.0,
)  # fmt: skip
"""0.7 kg on four 5-inch discs, no losses."""


def test_ideal_hover() -> None:
    # T^1.5 / sqrt(2 ρ A) = 51.05 W, by hand (Rankine and Froude).
    assert power.hover_ideal_w(0.7 * 9.80665, 1.225, 0.050671) == pytest.approx(51.05, abs=5e-3)
    assert power.shaft_w(BARE, 0.0, 0.0, 1.225) == pytest.approx(51.05, abs=5e-3)


def test_induced_velocity_in_forward_flight_and_climb() -> None:
    # Glauert: v = v_h² / sqrt(V² + v²), solved here by scipy; axial climb: v (v + V_c) = v_h² (Leishman, 2.13, 2.14).
    hover = math.sqrt(0.7 * 9.80665 / (2.0 * 1.225 * 0.050671))
    for speed in (4.0, 9.0, 15.0):
        induced = optimize.brentq(lambda v, s=speed: v * math.hypot(s, v) - hover**2, 0.0, hover)
        assert power.shaft_w(BARE, speed, 0.0, 1.225) == pytest.approx(0.7 * 9.80665 * induced, rel=1e-9)
    induced = optimize.brentq(lambda v: v * (v + 3.0) - hover**2, 0.0, hover)
    assert power.shaft_w(BARE, 0.0, 3.0, 1.225) == pytest.approx(0.7 * 9.80665 * (3.0 + induced), rel=1e-9)


def test_blades_and_body_cost_what_a_blade_element_says() -> None:
    # σ c_d / 8 ρ A (ΩR)³, (ΩR)² = T / (C ρ A); drag 0.5 ρ S V² at 10 m/s, times V.
    blades = replace(BARE, solidity=0.2, blade_drag=0.06)
    tip = math.sqrt(0.7 * 9.80665 / (0.02 * 1.225 * 0.050671))
    assert power.shaft_w(blades, 0.0, 0.0, 1.225) - power.shaft_w(BARE, 0.0, 0.0, 1.225) == pytest.approx(
        0.2 * 0.06 / 8.0 * 1.225 * 0.050671 * tip**3, rel=1e-9
    )
    thrust, angle = power.lean(replace(BARE, drag_area_m2=0.017), 10.0, 1.225)
    assert thrust * math.sin(angle) == pytest.approx(0.5 * 1.225 * 0.017 * 100.0, rel=1e-9)


def test_air() -> None:
    # ISO 2533: 1.225 kg/m³ at sea level and 15 °C; 1.1116 kg/m³ at 1000 m (8.5 °C).
    assert power.density_kg_m3(15.0, 0.0) == pytest.approx(1.225, abs=2e-4)
    assert power.density_kg_m3(8.5, 1000.0) == pytest.approx(1.1116, abs=5e-4)


def test_free_space_and_edge() -> None:
    # ITU-R P.525: 100.05 dB at 1 km, 2400 MHz. ITU-R P.526, equation 31: J(0) = 6.03 dB.
    assert radio.free_space_db(1000.0, 2400.0) == pytest.approx(100.052, abs=1e-3)
    assert radio.edge_db(0.0) == pytest.approx(6.033, abs=1e-3)
    for nu in (
        -0.5,
        0.5,
        1.5,
        3.0,
    ):  # the exact edge, by Fresnel integrals (P.526, equation 30); the form is within 0.3 dB
        sine, cosine = special.fresnel(nu)
        exact = -20.0 * math.log10(math.hypot(1.0 - cosine - sine, cosine - sine) / 2.0)
        assert radio.edge_db(nu) == pytest.approx(exact, abs=0.3)


def test_one_ridge_is_one_edge() -> None:
    along = np.arange(0.0, 1001.0, 10.0)
    ground = np.where(along == 500.0, 20.0, 0.0)
    one, three, nu = radio.edges_db(along, ground, 10.0, 10.0, 2400.0)
    # ν = h sqrt(2 d / (λ d1 d2)); 10 m over the line, and 500 · 500 / (2 · 8495 km) = 1.5 cm of the Earth's bulge.
    assert nu == pytest.approx((10.0 + 0.0147) * math.sqrt(2.0 * 1000.0 / (0.1249135 * 250_000.0)), rel=1e-3)
    assert one == three == pytest.approx(radio.edge_db(nu))


def test_dipole_and_echo() -> None:
    # Half-wave dipole: half power at 39° from broadside (textbook: 78° wide). Echo of ratio 0.5: +3.52 dB and -6.02 dB.
    assert radio.dipole_db(math.pi / 2.0, 20.0) == pytest.approx(0.0, abs=1e-9)
    assert radio.dipole_db(math.radians(90.0 - 39.0), 20.0) == pytest.approx(3.0, abs=0.1)
    heights = np.linspace(1.0, 60.0, 4000)
    losses = [radio.echo_db(1000.0, 2.0, height, 2400.0, 0.5) for height in heights]
    assert min(losses) == pytest.approx(-3.52, abs=0.01)
    assert max(losses) == pytest.approx(6.02, abs=0.02)


def test_shadowing_has_its_spread_and_its_length() -> None:
    # Gudmundson: correlation exp(-d / D), one standard deviation.
    field = radio.shadow(400_000.0, 50.0, np.random.default_rng(1))
    assert field.std() == pytest.approx(1.0, abs=0.03)
    assert np.corrcoef(field[:-5], field[5:])[0, 1] == pytest.approx(math.exp(-1.0), abs=0.03)


def _cell() -> Cell:
    return Cell(1.3, 0.006, 1.0, 0.0, 1.0, 0.6, 25.0, 25.0, 0.036)


def test_a_cell_sags_and_drains_by_the_book() -> None:
    cell = _cell()
    cell.step(40.0, 1e-6)
    ohm = 0.006 * (1.0 + 1.2 * math.exp(-0.6 / 0.06))
    current = optimize.brentq(lambda i: (open_v(0.6) - ohm * i) * i - 40.0, 0.0, 100.0)
    assert cell.least_v == pytest.approx(open_v(0.6) - ohm * current, rel=1e-6)
    slow = _cell()
    joules = 0.0
    while slow.soc > 0.4:
        slow.step(0.5, 5.0)
        joules += 2.5
    stored = (
        np.trapezoid([open_v(soc) for soc in np.linspace(0.4, 0.6, 201)], np.linspace(0.4, 0.6, 201)) * 1.3 * 3600.0
    )
    assert joules == pytest.approx(stored, rel=0.01)  # at 0.1 C hardly anything is lost to resistance
    assert open_v(soc_at(4.0)) == pytest.approx(4.0, abs=1e-6)


def test_more_than_the_matched_load_ends_the_flight() -> None:
    # A source gives no more than E² / 4R.
    cell = _cell()
    cell.step(1.001 * open_v(0.6) ** 2 / (4.0 * 0.006), 0.1)
    assert cell.empty


def test_ground_is_that_of_the_raster() -> None:
    import rasterio

    with rasterio.open(RASTER) as source:
        west, north = source.xy(150, 100)  # the centre of row 150, column 100
        heights = source.read(1)
    _, above, level = profile(Place(north, west), 90.0, 200.0)
    assert level == pytest.approx(heights[150, 100], abs=1e-6)
    assert above[0] == 0.0
    east_m = math.cos(math.radians(north)) * 6_378_137.0 * math.radians(1.0 / 1200.0)  # one pixel of 3 arc-seconds
    at = float(np.interp(east_m, np.arange(above.size) * 15.0, above))
    assert at == pytest.approx(float(heights[150, 101]) - level, abs=1.0)


def test_a_population_holds_its_band() -> None:
    chance = np.random.default_rng(2)
    drawn = np.array([Quantity(10.0, 5.0, 30.0, "test").draw(chance) for _ in range(20_000)])
    assert np.median(drawn) == pytest.approx(10.0, rel=0.03)
    assert np.mean((drawn > 5.0) & (drawn < 30.0)) == pytest.approx(0.847, abs=0.01)  # 1.645 / 1.15 = 1.430: 84.7 %


def test_an_error_of_the_typical_radio_values_is_a_plans_own() -> None:
    one_up = {("radio", key): 1.0 for key in RADIO}
    # By hand, upper ends over 1.645: (1.4 + 1.0 + 1.2 - 6.6 - 6.5) and (... - 5.0).
    assert radio_error_db(one_up, "control") == pytest.approx(-9.5 / 1.645)
    assert radio_error_db(one_up, "video") == pytest.approx(-8.0 / 1.645)
    drawn = np.array([list(shifts(np.random.default_rng(number)).values()) for number in range(400)])
    assert drawn.std() == pytest.approx(SHIFT_SD, rel=0.02)
    assert np.abs(np.corrcoef(drawn.T) - np.eye(drawn.shape[1])).max() < 0.22  # 820 pairs of 400: 4 / sqrt(400) is far
    first, second = (truth_of(np.random.default_rng([3, number]), careful=False) for number in (0, 1))
    assert first.control_error_db != second.control_error_db
    # All is drawn from the plan's own numbers: again the same.
    assert truth_of(np.random.default_rng([3, 0]), careful=False) == first


def _calm(truth: Truth) -> Truth:
    loud = replace(truth.control, power_dbm=60.0)
    return replace(
        truth, wind_mps=0.01, wind_flight=1.0, control=loud, video=None, rest_v=4.19, place=Place(None, None)
    )


def test_flights_are_long_as_the_way_is_and_a_pack_ends_them() -> None:
    truth = _calm(truth_of(np.random.default_rng([9, 1]), careful=True))
    near = fly(truth, 200.0, 0.0, 1)
    pace = truth.cruise_mps * truth.speed_held
    # Out and home at cruise in a calm, up and down, and what comes before the landing.
    expected = 400.0 / pace + (2.0 * truth.height_m - 4.0) / truth.climb_mps + 4.0 / truth.climb_mps + truth.circuit_s
    assert near.home and near.links_held and near.pack_held
    assert near.seconds == pytest.approx(expected, rel=0.06)
    far = fly(truth, 30_000.0, 0.0, 1)
    assert not far.home and far.why == "pack"
    deaf = replace(truth, control=replace(truth.control, power_dbm=-60.0), action="motors stop")
    lost = fly(deaf, 200.0, 0.0, 1)
    assert not lost.home and lost.why == "control lost" and lost.pack_held
    assert fly(truth, 200.0, 0.0, 1) == near
