"""Fill the gaps of the two radios with values typical of their class."""

from __future__ import annotations

import math
from dataclasses import replace

from turnback.assess.bands import Unit, band, entered, exact, from_reading, from_typical, scaled
from turnback.records.common import Reading
from turnback.records.learned import Learned, LearnedAbout
from turnback.records.radio import AntennaFile, ControlFile, PatternName, PolarisationName, VideoClass, VideoFile
from turnback.records.site import SiteFile
from turnback.records.world import AntennaWorld, Band, LinkWorld, LossWorld, Origin
from turnback.rules.typical import Table, typical

MILLIWATTS = Unit("dBm", lambda milliwatts: 10.0 * math.log10(milliwatts))
DECIBELS_ISOTROPIC = scaled("dBi", 1.0)
DECIBEL_MILLIWATTS = scaled("dBm", 1.0)
RATIO = scaled("", 1.0)


def fill_control(plan: ControlFile) -> LinkWorld:
    """Return the control link, both ways, with every gap filled."""
    return _fill("control", plan, typical("control", plan.class_.value), PolarisationName.VERTICAL)


def fill_video(plan: VideoFile) -> LinkWorld | None:
    """Return the video link with every gap filled; None where the flight is by eye."""
    if plan.class_ is VideoClass.NONE:
        return None
    return _fill("video", plan, typical("video", plan.class_.value), PolarisationName.CIRCULAR_RIGHT)


def _fill(name: str, plan: ControlFile | VideoFile, rows: Table, polarisation: PolarisationName) -> LinkWorld:
    ground = plan.ground_antenna or AntennaFile()
    aircraft = plan.aircraft_antenna or AntennaFile()
    bandwidth_khz = plan.bandwidth_khz or rows["bandwidth_khz"].value
    return LinkWorld(
        name=name,
        frequency_mhz=plan.frequency_mhz or rows["frequency_mhz"].value,
        ground_power_dbm=_power(name, "ground", plan.ground_power_mw, rows),
        aircraft_power_dbm=_power(name, "aircraft", plan.aircraft_power_mw, rows),
        ground=_antenna(f"{name}.ground", ground, rows, "ground_gain_dbi", polarisation),
        aircraft=_antenna(f"{name}.aircraft", aircraft, rows, "aircraft_gain_dbi", polarisation),
        ground_sensitivity_dbm=_sensitivity(name, "ground", plan.ground_sensitivity_dbm, rows),
        aircraft_sensitivity_dbm=_sensitivity(name, "aircraft", plan.aircraft_sensitivity_dbm, rows),
        bandwidth_hz=bandwidth_khz * 1e3,
        interference_rise_db=_interference(name, plan, rows, bandwidth_khz * 1e3),
        body_loss_db=from_typical(f"{name}.body_loss_db", rows["body_loss_db"], scaled("dB", 1.0)),
    )


def _power(name: str, end: str, reading: Reading | None, rows: Table) -> Band | None:
    row = rows.get(f"{end}_power_mw")
    if reading is None and row is None:
        return None
    key = f"{name}.{end}_power_dbm"
    if reading is not None:
        return from_reading(key, reading, MILLIWATTS, entered("power_share"))
    return from_typical(key, row, MILLIWATTS) if row is not None else None


def _antenna(key: str, plan: AntennaFile, rows: Table, row: str, polarisation: PolarisationName) -> AntennaWorld:
    pattern = PatternName.DIPOLE if polarisation is PolarisationName.VERTICAL else PatternName.OMNIDIRECTIONAL
    return AntennaWorld(
        gain_dbi=band(f"{key}.gain_dbi", plan.gain_dbi, rows[row], DECIBELS_ISOTROPIC, entered("gain_dbi")),
        pattern=plan.pattern or pattern,
        polarisation=plan.polarisation or polarisation,
    )


def _sensitivity(name: str, end: str, reading: Reading | None, rows: Table) -> Band:
    row = rows.get(f"{end}_sensitivity_dbm") or rows["ground_sensitivity_dbm"]
    key = f"{name}.{end}_sensitivity_dbm"
    return band(key, reading, row, DECIBEL_MILLIWATTS, entered("sensitivity_dbm"))


def _interference(name: str, plan: ControlFile | VideoFile, rows: Table, bandwidth_hz: float) -> Band:
    """Return how many dB interference lifts the noise floor.

    A measured level in the receiver's bandwidth adds to thermal noise (ITU-R P.372: kT0B plus the noise figure).
    """
    key = f"{name}.interference_rise_db"
    if plan.interference_dbm is None:
        return from_typical(key, rows["interference_rise_db"], scaled("dB", 1.0))
    figure_db = plan.noise_figure_db.value if plan.noise_figure_db else rows["noise_figure_db"].value
    floor_dbm = -173.975 + 10.0 * math.log10(bandwidth_hz) + figure_db

    def rise_db(level_dbm: float) -> float:
        return 10.0 * math.log10(1.0 + 10.0 ** ((level_dbm - floor_dbm) / 10.0))

    return from_reading(key, plan.interference_dbm, Unit("dB", rise_db), entered("noise_db"))


def with_walk(link: LinkWorld, site: SiteFile, learned: Learned) -> LinkWorld:
    """Return a link with what a range walk measured of it here; the link as it is where nobody walked.

    The walk measured the sum of transmit power, antennas and bodies, so their own bands go: each stands at its best
    estimate, which is what the measured loss is counted from. The power is that of the end that a walk listens to:
    the pilot's of the control link, the aircraft's of the video link; the other end keeps its band, and so do the
    receivers' limits and the noise.
    """
    loss = _measured(link.name, site, learned)
    if loss is None:
        return link
    origin = loss.offset_db.origin

    def known(was: Band) -> Band:
        return exact(was.key, was.value, was.unit, origin)

    ground, aircraft = link.ground_power_dbm, link.aircraft_power_dbm
    return replace(
        link,
        ground=replace(link.ground, gain_dbi=known(link.ground.gain_dbi)),
        aircraft=replace(link.aircraft, gain_dbi=known(link.aircraft.gain_dbi)),
        body_loss_db=known(link.body_loss_db),
        measured=loss,
        ground_power_dbm=known(ground) if ground is not None and link.name == "control" else ground,
        aircraft_power_dbm=known(aircraft) if aircraft is not None and link.name == "video" else aircraft,
    )


def _measured(name: str, site: SiteFile, learned: Learned) -> LossWorld | None:
    """Take all values from one place, so that no two walks are mixed: the plan's own, else those of the newest walk."""
    typed = getattr(site, f"{name}_offset_db") is not None
    taught = {} if typed else learned.of(LearnedAbout.SITE, site.id)

    def reading(quantity: str) -> Reading | None:
        key = f"{name}_{quantity}"
        given = getattr(site, key) if typed else taught.get(key)
        return Reading(value=given) if isinstance(given, float) else given

    offset = reading("offset_db")
    if offset is None:
        return None
    exponent, ratio = reading("excess_exponent"), reading("sigma_ratio")
    reference, walked = reading("reference_m"), reading("walked_m")
    origin = Origin.DECLARED if typed else Origin.LEARNED

    def told(quantity: str, given: Reading | None, otherwise: float, unit: Unit) -> Band:
        key = f"{name}.{quantity}"
        if given is None:
            return exact(key, otherwise, unit.symbol, origin)
        return replace(from_reading(key, given, unit, entered(f"walk_{quantity}")), origin=origin)

    reference_m = 1.0 if reference is None else reference.value
    return LossWorld(
        offset_db=told("offset_db", offset, 0.0, scaled("dB", 1.0)),
        excess_exponent=told("excess_exponent", exponent, 0.0, RATIO),
        sigma_ratio=told("sigma_ratio", ratio, 1.0, RATIO),
        beyond_exponent=from_typical(f"{name}.beyond_exponent", typical("walk")["beyond_exponent"], RATIO),
        reference_m=reference_m,
        walked_m=reference_m if walked is None else walked.value,
        on=None if typed else learned.newest(LearnedAbout.SITE, site.id, f"{name}_offset_db"),
    )
