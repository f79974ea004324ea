"""Every unit against the value that a standard gives it."""

from __future__ import annotations

import math

import pytest

from turnback.readers.record_units import UNITS, unit_keys, unit_of, units_said
from turnback.records.channel import UNIT_OF, Quantity

Q = Quantity

# One written unit in SI. NIST Special Publication 811 (2008), appendix B.8: foot 3.048 E-01 m, mile 1.609344 E+03 m,
# nautical mile 1.852 E+03 m, standard gravity 9.80665 m/s², gauss 1.0 E-04 T, bar 1.0 E+05 Pa, knot 5.144444 E-01 m/s,
# mile per hour 4.4704 E-01 m/s, foot per minute 5.08 E-03 m/s, degree 1.745329 E-02 rad, revolution per minute
# 1.047198 E-01 rad/s, ampere hour 3.6 E+03 C.
FACTORS = [
    (Q.TIME, {"s": 1, "ms": 1e-3, "us": 1e-6, "ns": 1e-9, "min": 60, "h": 3600, "moment": 1}),
    (Q.ROLL_RATE, {"deg/s": 0.01745329, "rad/s": 1, "cdeg/s": 1.745329e-4, "0.1 deg/s": 1.745329e-3,
                   "mdeg/s": 1.745329e-5, "mrad/s": 1e-3}),
    (Q.ACCELERATION_X, {"g": 9.80665, "m/s²": 1, "mg": 9.80665e-3, "cm/s²": 0.01, "ft/s²": 0.3048,
                        **{f"g/{n}": 9.80665 / n for n in (512, 1024, 2048, 4096, 8192, 16384)}}),
    (Q.ROLL, {"deg": 0.01745329, "rad": 1, "cdeg": 1.745329e-4, "0.1 deg": 1.745329e-3, "mrad": 1e-3}),
    (Q.MAGNETIC_X, {"µT": 1, "G": 100, "mG": 0.1, "nT": 1e-3, "mT": 1e3}),
    (Q.ROTOR_SPEED, {"rpm": 1 / 60, "1/s": 1, "rad/s": 0.1591549, "rpm/100": 1.6666667, "krpm": 16.666667}),
    (Q.PACK_VOLTS, {"V": 1, "mV": 1e-3, "10 mV": 0.01, "0.1 V": 0.1}),
    (Q.CELL_VOLTS, {"V/cell": 1, "mV": 1e-3, "10 mV": 0.01}),
    (Q.CURRENT, {"A": 1, "mA": 1e-3, "10 mA": 0.01, "0.1 A": 0.1}),
    (Q.CHARGE_USED, {"mAh": 1e-3, "Ah": 1, "C": 1 / 3600}),
    (Q.POWER, {"W": 1, "mW": 1e-3, "kW": 1e3}),
    (Q.TRANSMIT_POWER, {"W": 1, "mW": 1e-3}),
    (Q.LINK_LEVEL, {"dBm": 1, "-dBm": -1}),
    (Q.SIGNAL_TO_NOISE, {"dB": 1}),
    (Q.LATITUDE, {"deg": 1, "1e-7 deg": 1e-7, "1e-6 deg": 1e-6, "rad": 57.29578}),
    (Q.HEIGHT_LAUNCH, {"m": 1, "cm": 0.01, "mm": 1e-3, "ft": 0.3048, "km": 1000, "dm": 0.1}),
    (Q.PRESSURE, {"Pa": 1, "hPa": 100, "kPa": 1000, "bar": 1e5}),
    (Q.CLIMB_RATE, {"m/s": 1, "km/h": 0.2777778, "cm/s": 0.01, "mph": 0.44704, "kn": 0.5144444, "mm/s": 1e-3,
                    "ft/s": 0.3048, "0.1 m/s": 0.1, "ft/min": 5.08e-3}),
    (Q.SATELLITES, {"1": 1}),
]  # fmt: skip
# Ends of a span as written, and what they are: read off the key.
SPANS = [
    (Q.OUTPUT, "0-1", 0, 1), (Q.OUTPUT, "0-100", 0, 100), (Q.OUTPUT, "1000-2000", 1000, 2000),
    (Q.OUTPUT, "0-1000", 0, 1000), (Q.OUTPUT, "0-65535", 0, 65535), (Q.OUTPUT, "0-2047", 0, 2047),
    (Q.OUTPUT, "0-2000", 0, 2000), (Q.OUTPUT, "0-255", 0, 255), (Q.OUTPUT, "0-10000", 0, 10000),
    (Q.THROTTLE, "-1-1", -1, 1), (Q.THROTTLE, "-500-500", -500, 500), (Q.THROTTLE, "-1024-1024", -1024, 1024),
    (Q.THROTTLE, "0-2048", 0, 2048), (Q.LINK_QUALITY, "0-100", 0, 100),
    (Q.LINK_QUALITY, "0-255", 0, 255), (Q.ARMED, "0/1", 0, 1), (Q.ARMED, "1/0", 1, 0),
]  # fmt: skip
STICKS = [("-1-1", -1, 1), ("-500-500", -500, 500), ("-1024-1024", -1024, 1024), ("0-2048", 0, 2048),
          ("1000-2000", 1000, 2000), ("-100-100", -100, 100),
          ("-1000-1000", -1000, 1000), ("0-1", 0, 1), ("0-100", 0, 100), ("0-2047", 0, 2047),
          ("0-65535", 0, 65535)]  # fmt: skip


@pytest.mark.published
@pytest.mark.parametrize(("quantity", "factors"), FACTORS, ids=[row[0].value for row in FACTORS])
def test_factors_are_those_of_the_standards(quantity: Quantity, factors: dict[str, float]) -> None:
    for key, factor in factors.items():
        unit = unit_of(quantity, key)
        assert unit is not None
        assert unit.scale == pytest.approx(factor, rel=1e-6)
        assert unit.offset == 0.0
    assert {unit.key for unit in UNITS[quantity]} == set(factors)


@pytest.mark.published
def test_temperatures_are_those_of_the_standards() -> None:
    # SP 811 appendix B.8: water freezes at 32 °F and 273.15 K; 98.6 °F is 37 °C.
    for key, written, celsius in [("°F", 32, 0), ("°F", 98.6, 37), ("K", 273.15, 0), ("°C", 21, 21),
                                  ("0.1 °C", 215, 21.5),
                                  ("0.01 °C", 2150, 21.5)]:  # fmt: skip
        unit = unit_of(Q.BOARD_TEMPERATURE, key)
        assert unit is not None
        assert unit.scale * written + unit.offset == pytest.approx(celsius, abs=1e-9)


@pytest.mark.parametrize(("quantity", "key", "low", "high"), SPANS)
def test_ends_of_spans_are_nought_and_one(quantity: Quantity, key: str, low: float, high: float) -> None:
    unit = unit_of(quantity, key)
    assert unit is not None
    assert [unit.scale * end + unit.offset for end in (low, high)] == pytest.approx([0.0, 1.0], abs=1e-12)


@pytest.mark.parametrize(("key", "low", "high"), STICKS)
def test_sticks_run_from_minus_one_to_one(key: str, low: float, high: float) -> None:
    unit = unit_of(Q.ROLL_STICK, key)
    assert unit is not None
    assert [unit.scale * end + unit.offset for end in (low, high)] == pytest.approx([-1.0, 1.0], abs=1e-12)


def test_every_quantity_but_other_has_its_own_unit_among_them() -> None:
    assert set(UNITS) == set(UNIT_OF) - {Quantity.OTHER}
    for quantity, units in UNITS.items():
        assert any(math.isclose(unit.scale, 1.0) and unit.offset == 0.0 for unit in units), quantity
        assert len({unit.key for unit in units}) == len(units)


@pytest.mark.parametrize(
    ("text", "quantity", "keys"),
    [("[°/s]", Q.ROLL_RATE, ("deg/s",)), ("dps", Q.YAW_RATE, ("deg/s",)), ("m/s^2", Q.ACCELERATION_X, ("m/s²",)),
     ("G", Q.MAGNETIC_X, ("G",)), ("G", Q.ACCELERATION_X, ("g",)),
     ("mG", Q.MAGNETIC_Y, ("mG",)), ("%", Q.OUTPUT, ("0-100",)),
     ("us", Q.OUTPUT, ("1000-2000",)), ("us", Q.TIME, ("us",)), ("µs", Q.TIME, ("us",)), ("ms", Q.TIME, ("ms",)),
     ("Hz", Q.ROTOR_SPEED, ("1/s",)), ("mbar", Q.PRESSURE, ("hPa",)), ("V", Q.CELL_VOLTS, ("V/cell",)),
     ("V/cell", Q.PACK_VOLTS, ()),
     ("km/h", Q.GROUND_SPEED, ("km/h",)), ("feet per minute", Q.CLIMB_RATE, ("ft/min",)), ("nonsense", Q.POWER, ()),
     ("°", Q.LATITUDE, ("deg",)), ("deg*1e7", Q.LONGITUDE, ("1e-7 deg",)), ("dBm", Q.TRANSMIT_POWER, ()),
     ("m_s", Q.GROUND_SPEED, ("m/s",)), ("deg_s", Q.ROLL_RATE, ("deg/s",)), ("m_s", Q.TIME, ()),
     ("(-500 to 500)", Q.ROLL_STICK, ("-500-500",)), ("-1024 … 1024", Q.THROTTLE, ("-1024-1024",)),
     ("0 bis 2048", Q.THROTTLE, ("0-2048",)), ("mA h", Q.CHARGE_USED, ("mAh",))],
)  # fmt: skip
def test_texts_mean_units(text: str, quantity: Quantity, keys: tuple[str, ...]) -> None:
    assert units_said(quantity, unit_keys(text)) == keys
