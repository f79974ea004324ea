"""What kind of record it is: how surely a cause shows a sign hangs on how fast, and of what, a record tells."""

from __future__ import annotations

from turnback.knowledge.from_study import Kind
from turnback.knowledge.look_alikes import Kit
from turnback.records.channel import ACCELERATIONS, RATES, STICKS, Quantity
from turnback.records.flight_record import FlightRecord
from turnback.rules.record_debrief import FAST_HZ

SPEAKS = (*STICKS, Quantity.PACK_VOLTS, Quantity.CELL_VOLTS, Quantity.CURRENT, Quantity.LINK_LEVEL,
          Quantity.LINK_LEVEL_BACK, Quantity.LINK_QUALITY, Quantity.ARMED, Quantity.OUTPUT)  # fmt: skip


def kind_of(record: FlightRecord) -> Kind:
    """Return what kind of record it is.

    Parameters
    ----------
    record : FlightRecord

    Returns
    -------
    Kind
        `Kind.FAST` where turning rates or accelerations come often enough to be a board's own; `Kind.TRACK` where it
        holds little but places; else `Kind.SLOW`.
    """
    moves = [record.get(each) for each in (*RATES, *ACCELERATIONS)]
    if any(each is not None and each.rate_hz >= FAST_HZ.value for each in moves):
        return Kind.FAST
    held = {each.channel.quantity for each in record.series.values()}
    return Kind.SLOW if held & set(SPEAKS) else Kind.TRACK


def kit_of(record: FlightRecord) -> Kit:
    """Return what channels a record has, as look-alikes are told by.

    Parameters
    ----------
    record : FlightRecord
    """
    kind = kind_of(record)
    if kind is Kind.TRACK:
        return Kit.TRACK
    if kind is Kind.SLOW:
        return Kit.RADIO
    held = {each.channel.quantity for each in record.series.values()}
    return Kit.FULL if {Quantity.ROTOR_SPEED, Quantity.LATITUDE, Quantity.LONGITUDE} <= held else Kit.BOARD
