"""Air, held against two independent atmospheres run here, and the altimeter's law."""

import aerosandbox
import numpy as np
import pytest
from ambiance import Atmosphere
from astropy import units
from pycraf import atm

from turnback.physics.air import (
    density_altitude_m,
    density_kg_m3,
    geopotential_m,
    pressure_from_qnh_pa,
    saturation_vapour_pa,
    standard_pressure_pa,
    standard_temperature_k,
)

pytestmark = pytest.mark.published

HEIGHTS_M = np.array([-400.0, 0.0, 150.0, 1500.0, 3000.0, 5500.0, 8000.0, 10_900.0])


def test_standard_atmosphere_of_ambiance() -> None:
    peer = Atmosphere(HEIGHTS_M)
    assert geopotential_m(HEIGHTS_M) == pytest.approx(Atmosphere.geom2geop_height(HEIGHTS_M), abs=1e-6)
    assert standard_temperature_k(HEIGHTS_M) == pytest.approx(peer.temperature, abs=1e-6)
    assert standard_pressure_pa(HEIGHTS_M) == pytest.approx(peer.pressure, rel=1e-6)
    ours = density_kg_m3(standard_temperature_k(HEIGHTS_M), standard_pressure_pa(HEIGHTS_M))
    assert ours == pytest.approx(peer.density, rel=1e-6)


@pytest.mark.parametrize(("height_m", "density"), [(0.0, 1.2250), (1500.0, 1.05810), (3000.0, 0.90925)])
def test_density_of_the_tables(height_m: float, density: float) -> None:
    # ISO 2533 and U.S. Standard Atmosphere 1976, tables by geometric height: 1.2250, 1.0581, 0.90925 kg/m³.
    ours = density_kg_m3(standard_temperature_k(height_m), standard_pressure_pa(height_m))
    assert float(ours) == pytest.approx(density, abs=1e-5)


def test_hot_and_high() -> None:
    # 1500 m at 35 °C: 0.95596 kg/m³ and 2510 m of density altitude, from ambiance's pressure and the gas law by hand.
    pressure_pa = float(Atmosphere(1500.0).pressure[0])
    assert float(standard_pressure_pa(1500.0)) == pytest.approx(pressure_pa, rel=1e-7)
    density = density_kg_m3(308.15, standard_pressure_pa(1500.0))
    assert float(density) == pytest.approx(pressure_pa / (287.05287 * 308.15), rel=1e-9)
    assert float(density) == pytest.approx(0.95596, abs=1e-5)
    assert float(density_altitude_m(density)) == pytest.approx(2510.0, abs=5.0)
    back = float(Atmosphere(float(density_altitude_m(density))).density[0])
    assert back == pytest.approx(float(density), rel=1e-6)


@pytest.mark.parametrize(("height_m", "warmer_k"), [(0.0, 0.0), (0.0, 20.0), (1500.0, 30.0), (2500.0, -20.0)])
def test_density_altitude_of_aerosandbox(height_m: float, warmer_k: float) -> None:
    # Its formula gives geopotential metres and its gas constant differs by 3 in 100,000: 5 m.
    peer = aerosandbox.Atmosphere(altitude=height_m, temperature_deviation=warmer_k)
    ours = density_altitude_m(density_kg_m3(float(peer.temperature()), float(peer.pressure())))
    assert float(geopotential_m(ours)) == pytest.approx(float(peer.density_altitude()), abs=5.0)


@pytest.mark.parametrize(("qnh_hpa", "height_m"), [(1013.25, 0.0), (1013.25, 1500.0), (990.0, 1000.0), (1030.0, 300.0)])
def test_station_pressure_by_the_altimeter(qnh_hpa: float, height_m: float) -> None:
    # Smithsonian Meteorological Tables, altimeter setting of a station, its constants written out here; the 0.3 hPa
    # that it takes off for the instrument's height above the field is the difference allowed.
    exponent = 0.190284
    by_tables = (qnh_hpa**exponent - 1013.25**exponent * 0.0065 / 288.0 * height_m) ** (1.0 / exponent) + 0.3
    assert float(pressure_from_qnh_pa(qnh_hpa * 100.0, height_m)) / 100.0 == pytest.approx(by_tables, abs=0.35)


def test_qnh_of_the_standard_day_is_the_standard_atmosphere() -> None:
    assert pressure_from_qnh_pa(101_325.0, HEIGHTS_M) == pytest.approx(Atmosphere(HEIGHTS_M).pressure, rel=1e-6)


@pytest.mark.parametrize("celsius", [0.0, 10.0, 20.0, 30.0, 40.0])
def test_saturation_of_p453_by_pycraf(celsius: float) -> None:
    # pycraf holds ITU-R P.453's own constants and its factor for moist air (0.4 %): 1 %.
    peer = atm.saturation_water_pressure((celsius + 273.15) * units.K, 1013.25 * units.hPa, wet_type="water").to_value(
        units.Pa
    )
    assert float(saturation_vapour_pa(celsius + 273.15)) == pytest.approx(float(peer), rel=0.01)


def test_moist_air_of_cipm_2007() -> None:
    # CIPM-2007 (Picard et al., Metrologia 45, 2008), constants from memory: 20 °C, 101325 Pa, 50 %, by its equation.
    kelvin, pascal, humidity = 293.15, 101_325.0, 0.5
    vapour = np.exp(1.2378847e-5 * kelvin**2 - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin)
    share = humidity * (1.00062 + 3.14e-8 * pascal + 5.6e-7 * 20.0**2) * vapour / pascal
    by_metrology = 3.483740e-3 * pascal / kelvin * (1.0 - 0.3780 * share) / 0.99962
    assert by_metrology == pytest.approx(1.1992, abs=2e-4)  # the value tables quote
    assert float(density_kg_m3(kelvin, pascal, humidity)) == pytest.approx(by_metrology, rel=6e-4)
