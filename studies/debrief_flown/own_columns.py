"""Places in this study's log, one row a millisecond: those of `record_flown.columns`, and more."""

from __future__ import annotations

from typing import Final

from studies.record_flown.columns import WIDTH as BEFORE

MAG: Final = BEFORE  # 3, µT, as the sensor shows it
HEADING_SEEN: Final = BEFORE + 3  # rad, as the board has it
SUPPLY: Final = BEFORE + 4  # V of the board
LEVEL_BACK: Final = BEFORE + 5  # dBm at the pilot's radio
QUALITY_BACK: Final = BEFORE + 6
NOISE: Final = BEFORE + 7  # dB that the noise at the aircraft's receiver is up
POWER_DB: Final = BEFORE + 8  # dB that the radio sends below its set power
CELL: Final = BEFORE + 9  # V of one cell at the pack, under load
PACK_C: Final = BEFORE + 10  # °C
SENT: Final = BEFORE + 11  # 4, sticks as the radio sends them
ATT_SEEN: Final = BEFORE + 15  # roll, pitch as the board has them
GROUND: Final = BEFORE + 17  # m above the launch point, under the aircraft
BOARD_ON: Final = BEFORE + 18
ERR: Final = BEFORE + 19  # 2, m north and east that the position is off
OFF: Final = BEFORE + 21  # radio: 1 where the receiver does not hear
HEARD_BACK: Final = BEFORE + 22  # 1 where the radio hears the aircraft
WIDE: Final = BEFORE + 23
