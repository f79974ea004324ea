"""Thresholds by which a record of the control link shows a sign of the book."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

LOST_S: Final = Threshold(
    "record.signs_link.lost_s", 1.0, "s", "our-choice",
    "A link that is gone for a second leaves the aircraft without its pilot; shorter pauses are flown through.",
)  # fmt: skip
BEFORE_S: Final = Threshold(
    "record.signs_link.before_s", 0.2, "s", "our-choice",
    "What begins this long before the loss came first; less is the same moment.",
)  # fmt: skip
HEALTHY_QUALITY: Final = Threshold(
    "record.signs_link.healthy_quality", 0.7, "", "common-practice",
    "Above seven packets in ten, smoothed over a second, nobody feels the link.",
)  # fmt: skip
HEALTHY_LEVEL: Final = Threshold(
    "record.signs_link.healthy_level", -97.0, "dBm", "our-choice",
    "Where no quality is recorded: every usual control link still works some decibels below this.",
)  # fmt: skip
HIGH_LEVEL: Final = Threshold(
    "record.signs_link.high_level", -93.0, "dBm", "our-choice",
    "Every usual control link works ten decibels and more below this: packets lost here are not lost to range.",
)  # fmt: skip
LOW_S: Final = Threshold(
    "record.signs_link.low_s", 0.35, "s", "our-choice",
    "Seconds of packets that are lost, counted where fewer than 85 in a hundred come: one burst is no disturbed link.",
)  # fmt: skip
NOISE_DB: Final = Threshold(
    "record.signs_link.noise_db", 8.0, "dB", "our-choice",
    "The noise that a receiver hears wanders by a few decibels; another transmitter on the channel adds ten and more.",
)  # fmt: skip
NO_LEVEL: Final = Threshold(
    "record.signs_link.no_level", -127.0, "dBm", "our-choice",
    "Slow modes that spread a packet over the band are heard down to about this; one signed byte ends here, and what "
    "is written below it says that nothing was heard.",
)  # fmt: skip
WORN_QUALITY: Final = Threshold(
    "record.signs_link.worn_quality", 0.8, "", "our-choice",
    "Below eight packets in ten a link begins to go.",
)  # fmt: skip
DECADE_LEAST: Final = Threshold(
    "record.signs_link.decade_least_db", 12.0, "dB", "our-choice",
    "Free space takes 20 dB for each tenfold of distance, a reflecting ground up to twice that; a level that falls "
    "less does not fall with distance.",
)  # fmt: skip
EVENLY: Final = Threshold(
    "record.signs_link.evenly_db", 6.0, "dB", "our-choice",
    "A level within this of its own line over distance, where the link goes, was taken by distance alone.",
)  # fmt: skip
ATTITUDE_DB: Final = Threshold(
    "record.signs_link.attitude_db", 7.0, "dB", "our-choice",
    "A tilted or turned antenna costs some decibels in every flight; a blind end costs ten and more.",
)  # fmt: skip
ONCE_SHARE: Final = Threshold(
    "record.signs_link.once_share", 0.85, "", "our-choice",
    "Of what distance does not explain, where it turned into the blind direction but once; ground and trees give less.",
)  # fmt: skip
ATTITUDE_SHARE: Final = Threshold(
    "record.signs_link.attitude_share", 0.75, "", "our-choice",
    "Three quarters of all that is uneven in the level go with how it is turned toward the radio; what stands "
    "in the way of one course alone explains less.",
)  # fmt: skip
STEP_DB: Final = Threshold(
    "record.signs_link.step_db", 12.0, "dB", "our-choice",
    "Behind an edge that is well above the line of sight a link loses 15 dB and more (diffraction over an edge).",
)  # fmt: skip
STEP_STAYS_S: Final = Threshold(
    "record.signs_link.step_stays_s", 2.0, "s", "our-choice",
    "A fade is over sooner; a shadow lasts as long as the aircraft stays behind what makes it.",
)  # fmt: skip
STEP_TURNS: Final = Threshold(
    "record.signs_link.step_turns_deg", 40.0, "°", "our-choice",
    "An aircraft that turned so far meanwhile may have turned its antenna's blind end toward the radio.",
)  # fmt: skip
CLIMBS_M: Final = Threshold(
    "record.signs_link.climbs_m", 4.0, "m", "our-choice",
    "Enough to look over what stood in the way, and more than a height sensor wanders in seconds.",
)  # fmt: skip
BACK_DB: Final = Threshold(
    "record.signs_link.back_db", 7.0, "dB", "our-choice",
    "A level that gains this much while it climbs was held down by something below.",
)  # fmt: skip
RAGGED_DB: Final = Threshold(
    "record.signs_link.ragged_db", 3.0, "dB", "our-choice",
    "How far the level falls below its own line, as the standard deviation of a level that does so on both sides: "
    "small-scale fading in the open, smoothed over half a second, leaves one or two decibels; leaves, branches and "
    "walls leave more.",
)  # fmt: skip
STEADY_DB: Final = Threshold(
    "record.signs_link.steady_db", 7.0, "dB", "our-choice",
    "A person in the way costs 10 to 20 dB at these frequencies; in a hover with a steady heading nothing else does.",
)  # fmt: skip
STEADY_MPS: Final = Threshold(
    "record.signs_link.steady_mps", 1.8, "m/s", "our-choice",
    "Slower than this over ground it hovers.",
)  # fmt: skip
FADES_DB: Final = Threshold(
    "record.signs_link.fades_db", 4.5, "dB", "our-choice",
    "What a flight's ups and downs leave as a slope over its whole time is less.",
)  # fmt: skip
FADES_SHARE: Final = Threshold(
    "record.signs_link.fades_share", 0.4, "", "our-choice",
    "So much of what distance does not explain goes evenly with time.",
)  # fmt: skip
USUAL_BACK_DB: Final = Threshold(
    "record.signs_link.usual_back_db", -3.0, "dB", "common-practice",
    "Path and antennas are the same both ways; aircraft usually answer with half of the power that they are sent.",
)  # fmt: skip
ONE_WAY_DB: Final = Threshold(
    "record.signs_link.one_way_db", 6.5, "dB", "our-choice",
    "Both ways share path and antennas: powers and receivers of healthy ends differ by less from what is usual.",
)  # fmt: skip
SAME_PLACE: Final = Threshold(
    "record.signs_link.same_place", 0.45, "", "our-choice",
    "What stands in the way takes as much on the way back as on the way out; so much of a dip must be there again.",
)  # fmt: skip
DIP_LEAST_DB: Final = Threshold(
    "record.signs_link.dip_least_db", 6.0, "dB", "our-choice",
    "Below its own line over distance: beyond what fading in the open leaves over half a second.",
)  # fmt: skip
TURNED: Final = Threshold(
    "record.signs_link.turned_deg", 15.0, "°", "our-choice",
    "An aircraft that turned less toward the radio meanwhile turned no blind end of an antenna there.",
)  # fmt: skip
APART_DB: Final = Threshold(
    "record.signs_link.apart_db", 3.0, "dB", "our-choice",
    "Between both ways nothing changes in flight but a transmitter's power: half of it is 3 dB.",
)  # fmt: skip
ONE_WAY_QUALITY: Final = Threshold(
    "record.signs_link.one_way_quality", 0.2, "", "our-choice",
    "One end gets so many packets fewer than the other, of all that are sent.",
)  # fmt: skip
LOAD_QUALITY: Final = Threshold(
    "record.signs_link.load_quality", 0.06, "", "our-choice",
    "Share of packets that is lost more in the third of highest current than in that of lowest.",
)  # fmt: skip
LOAD_GOES_ALONG: Final = Threshold(
    "record.signs_link.load_goes_along", 0.3, "", "our-choice",
    "Correlation of packets lost with current: by chance it stays below.",
)  # fmt: skip
LOWER_DB: Final = Threshold(
    "record.signs_link.lower_db", 10.0, "dB", "our-choice",
    "A broken or unplugged antenna costs 15 to 25 dB; another place or day a few.",
)  # fmt: skip
FIXED_STEP_DB: Final = Threshold(
    "record.signs_link.fixed_step_db", 4.5, "dB", "our-choice",
    "Levels of transmit power lie 3 dB and more apart; two flights of one aircraft differ by two or three.",
)  # fmt: skip
STRONG_LEVEL: Final = Threshold(
    "record.signs_link.strong_level", -80.0, "dBm", "our-choice",
    "Twenty decibels and more above what usual control links need: no tree, person or turn takes that in a moment.",
)  # fmt: skip
GROUND_TAKES: Final = Threshold(
    "record.signs_link.ground_takes_db", 9.0, "dB", "itu-p526",
    "An edge that just touches the straight line takes 6 dB; what takes clearly more stands in it.",
)  # fmt: skip
BELOW_PLAN: Final = Threshold(
    "record.signs_link.below_plan_db", 7.5, "dB", "our-choice",
    "Fading and a turned antenna leave a level within some decibels of the plan's, its usual error taken off.",
)  # fmt: skip
KNOCK_G: Final = Threshold(
    "record.signs_link.knock_g", 3.0, "", "our-choice",
    "Force beyond that of turns and gusts.",
)  # fmt: skip
KNOCK_S: Final = Threshold(
    "record.signs_link.knock_s", 0.5, "s", "our-choice",
    "A drop that begins this soon after a knock goes with it.",
)  # fmt: skip

RULES: Final = (
    LOST_S, BEFORE_S, HEALTHY_QUALITY, HEALTHY_LEVEL, HIGH_LEVEL, LOW_S, NOISE_DB, NO_LEVEL, WORN_QUALITY,
    DECADE_LEAST, EVENLY, ATTITUDE_DB, ATTITUDE_SHARE, ONCE_SHARE, STEP_DB, STEP_STAYS_S, STEP_TURNS, CLIMBS_M, BACK_DB,
    RAGGED_DB, STEADY_DB, STEADY_MPS, FADES_DB, FADES_SHARE, USUAL_BACK_DB, ONE_WAY_DB, SAME_PLACE,
    DIP_LEAST_DB, TURNED, APART_DB, ONE_WAY_QUALITY, LOAD_QUALITY, LOAD_GOES_ALONG, LOWER_DB, FIXED_STEP_DB,
    STRONG_LEVEL, GROUND_TAKES, BELOW_PLAN, KNOCK_G, KNOCK_S,
)  # fmt: skip
