"""Places in the kernel's log, one row a millisecond."""

from __future__ import annotations

from typing import Final

GYRO: Final = 0  # 3, rad/s, as measured
ACC: Final = 3  # 3, m/s², as measured
ROLL: Final = 6
PITCH: Final = 7
HEADING: Final = 8
DEMAND: Final = 9  # 3, rad/s
TILT_DEMAND: Final = 12  # roll, pitch
OUT: Final = 14  # 4
SPEED: Final = 18  # 4, rad/s
STICK: Final = 22  # roll, pitch, yaw, throttle as the board has them
NORTH: Final = 26
EAST: Final = 27
DOWN: Final = 28
VEL: Final = 29  # 3, north east down
WIND: Final = 32  # north, east
VOLTS: Final = 34
CURRENT: Final = 35
CHARGE: Final = 36  # Ah
REST: Final = 37  # V per cell, at rest
LEVEL: Final = 38
QUALITY: Final = 39
MODE: Final = 40
ARMED: Final = 41
LOST: Final = 42
TOUCH: Final = 43  # contact force over weight
RATE: Final = 44  # 3, true
FORCE: Final = 47  # specific force, size, true
PHASE: Final = 48
WIDTH: Final = 49

RATE_MODE, SELF_LEVEL, RETURN, DESCEND, STOPPED = 0.0, 1.0, 2.0, 3.0, 4.0
P_GROUND, P_ARMED, P_TAKE_OFF, P_HOVER, P_CRUISE, P_RETURN, P_FALL = 0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0
P_SLOW, P_CLIMB = 7.0, 8.0
"""Slow flight that is hover or cruise, and a climb after the take-off that may count to it: either is right."""
