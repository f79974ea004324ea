"""Thresholds of signs that a record's positions and heights show, and of the site."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

DRIFT_PULL: Final = Threshold(
    "record.signs.drift_pull_mps2", 1.5, "m/s²", "our-choice",
    "Nine degrees of lean: a smaller one may be a level that is off.",
)  # fmt: skip
DRIFT_TIME: Final = Threshold(
    "record.signs.drift_s", 2.5, "s", "our-choice",
    "Braking leans against the way too, but is over by then or slows it down.",
)  # fmt: skip
SLOW_RATIO: Final = Threshold(
    "record.signs.slow_ratio", 0.35, "", "our-choice",
    "Against the wind at a third of the speed with it: the wind is half of the speed through the air.",
)  # fmt: skip
LEG_TIME: Final = Threshold(
    "record.signs.leg_s", 3.0, "s", "our-choice",
    "Shorter legs are turns.",
)  # fmt: skip
STANDS_CLOSING: Final = Threshold(
    "record.signs.stands_mps", 1.0, "m/s", "our-choice",
    "So slow, two hundred metres take longer than any pack has left.",
)  # fmt: skip
STANDS_TIME: Final = Threshold(
    "record.signs.stands_s", 8.0, "s", "our-choice",
    "Turning round and climbing first takes some seconds.",
)  # fmt: skip
HOME_FAR: Final = Threshold(
    "record.signs.home_far_m", 30.0, "m", "our-choice",
    "Nearer than this it is home.",
)  # fmt: skip
LEANS_HOME: Final = Threshold(
    "record.signs.leans_home_share", 0.3, "", "our-choice",
    "Of its lean on the way: a hover leans into the wind only, and who comes to a stop leans back.",
)  # fmt: skip
CIRCLE_TURNS: Final = Threshold(
    "record.signs.circle_turns", 1.5, "", "our-choice",
    "A wide swing is no circle.",
)  # fmt: skip
CIRCLE_GROWS: Final = Threshold(
    "record.signs.circle_grows", 1.2, "", "our-choice",
    "Radius of the last third over that of the first: gusts make less.",
)  # fmt: skip
STICK_STILL: Final = Threshold(
    "record.signs.stick_still", 0.15, "", "our-choice",
    "Thumbs that rest move a stick by less.",
)  # fmt: skip
TRACK_OFF: Final = Threshold(
    "record.signs.track_off_rad", 0.785, "rad", "our-choice",
    "Forty-five degrees off: no wind and no turn explains it.",
)  # fmt: skip
FEW_SATELLITES: Final = Threshold(
    "record.signs.few_satellites", 6.0, "", "common-practice",
    "With fewer in view a fix is poor, and wanders.",
)  # fmt: skip
FLIES_AWAY: Final = Threshold(
    "record.signs.flies_away_m", 15.0, "m", "our-choice",
    "Further than it takes to stop.",
)  # fmt: skip
FREE_TIME: Final = Threshold(
    "record.signs.free_s", 0.5, "s", "our-choice",
    "In this time it falls 1.2 metres; thumbs that let go for a moment are shorter.",
)  # fmt: skip
ROUGH_TIMES: Final = Threshold(
    "record.signs.rough_times", 4.5, "", "our-choice",
    "Turning rates in one place against the usual of the same flight.",
)  # fmt: skip
GREATEST_SHARE: Final = Threshold(
    "record.signs.greatest_share", 0.95, "", "our-choice",
    "Of the greatest distance of the flight.",
)  # fmt: skip
SINKS_FAST: Final = Threshold(
    "record.signs.sinks_fast_mps", 4.0, "m/s", "our-choice",
    "A fast lift sinks at three to four metres a second.",
)  # fmt: skip
SINKS_TIME: Final = Threshold(
    "record.signs.sinks_s", 0.8, "s", "our-choice",
    "Whatever is shorter is a bump.",
)  # fmt: skip
FULL_THROTTLE: Final = Threshold(
    "record.signs.full_throttle", 0.85, "", "our-choice",
    "Thumbs in a hurry stop just short of the end.",
)  # fmt: skip
SINKS_STRAIGHT: Final = Threshold(
    "record.signs.sinks_straight_mps", 3.0, "m/s", "our-choice",
    "Faster than most let it down, with hardly any way on.",
)  # fmt: skip
SINKS_STRAIGHT_TIME: Final = Threshold(
    "record.signs.sinks_straight_s", 2.2, "s", "our-choice",
    "Its own wash builds up within a second or two.",
)  # fmt: skip
STRAIGHT_SPEED: Final = Threshold(
    "record.signs.straight_speed_mps", 2.5, "m/s", "our-choice",
    "Hardly any way over the ground.",
)  # fmt: skip
HIT_SPEED: Final = Threshold(
    "record.signs.hit_mps", 3.0, "m/s", "our-choice",
    "Slower is a landing.",
)  # fmt: skip
SEEN_TO: Final = Threshold(
    "record.signs.seen_to_m", 150.0, "m", "our-choice",
    "An aircraft of a span of a quarter of a metre is a dot without attitude beyond this; bigger ones a little later.",
)  # fmt: skip
STAYS_TIME: Final = Threshold(
    "record.signs.stays_s", 10.0, "s", "our-choice",
    "Before it comes down, an automatic return may wait a moment over the launch point.",
)  # fmt: skip
AIMS_OFF: Final = Threshold(
    "record.signs.aims_off_m", 22.0, "m", "our-choice",
    "A return that comes down further off than two fixes differ by went to another place.",
)  # fmt: skip
STOPS_WITHIN: Final = Threshold(
    "record.signs.stops_within_s", 3.0, "s", "our-choice",
    "From level flight to the ground in so short a time is no landing.",
)  # fmt: skip
FIELD_NEAR: Final = Threshold(
    "record.signs.field_near_share", 0.4, "", "our-choice",
    "Of the field's unrest that the current leaves, in squares; of a sound place height explains a quarter at most.",
)  # fmt: skip
FIELD_NEAR_CHANGES: Final = Threshold(
    "record.signs.field_near_changes_share", 0.15, "", "our-choice",
    "Of the field, from high up to the ground.",
)  # fmt: skip
TURNS_NEAR: Final = Threshold(
    "record.signs.turns_near_rad", 0.25, "rad", "our-choice",
    "Of the heading shown, from the ground to some metres above it, the yaw stick at rest: a board that holds its "
    "heading wanders by less as it climbs.",
)  # fmt: skip
TURNS_NEAR_SHARE: Final = Threshold(
    "record.signs.turns_near_share", 0.7, "", "our-choice",
    "Of the heading's unrest on each climb and each way down that its height explains: a gust or a wake explains less.",
)  # fmt: skip
SAME_SPOT: Final = Threshold(
    "record.signs.same_spot_m", 25.0, "m", "our-choice",
    "Two fixes of one spot differ by some metres; what stands there reaches some more.",
)  # fmt: skip
COLD: Final = Threshold(
    "record.signs.cold_c", 10.0, "°C", "common-practice",
    "Below this, packs for multirotors sag markedly.",
)  # fmt: skip
WIND_SHARE: Final = Threshold(
    "record.signs.wind_share", 0.5, "", "our-choice",
    "Of the cruise speed through the air.",
)  # fmt: skip
WIND_MOST: Final = Threshold(
    "record.signs.wind_most_mps", 8.0, "m/s", "our-choice",
    "A fresh breeze, Beaufort 5, begins here: a new pilot fights it with any aircraft, however fast that flies.",
)  # fmt: skip
CRUISES: Final = Threshold(
    "record.signs.cruises_mps", 12.0, "m/s", "our-choice",
    "Where the record does not tell a cruise speed.",
)  # fmt: skip
THIN_AIR: Final = Threshold(
    "record.signs.thin_air_kg_m3", 1.06, "kg/m³", "our-choice",
    "About 1500 m above the sea, or 1000 m on a hot day; a seventh of the lift is gone.",
)  # fmt: skip
MARGIN_LEFT: Final = Threshold(
    "record.signs.margin_left_db", 6.0, "dB", "our-choice",
    "Turning about takes that much.",
)  # fmt: skip
FREEZING: Final = Threshold(
    "record.signs.freezing_c", 2.0, "°C", "common-practice",
    "Ice grows on propellers in damp air up to about this.",
)  # fmt: skip

RULES: Final = (
    DRIFT_PULL, DRIFT_TIME, SLOW_RATIO, LEG_TIME, STANDS_CLOSING, STANDS_TIME, HOME_FAR, LEANS_HOME, CIRCLE_TURNS,
    CIRCLE_GROWS,
    STICK_STILL, TRACK_OFF, FEW_SATELLITES, FLIES_AWAY, FREE_TIME, ROUGH_TIMES, GREATEST_SHARE, SINKS_FAST, SINKS_TIME,
    FULL_THROTTLE, SINKS_STRAIGHT, SINKS_STRAIGHT_TIME, STRAIGHT_SPEED, HIT_SPEED, SEEN_TO, STAYS_TIME, SAME_SPOT,
    COLD, WIND_SHARE, WIND_MOST, CRUISES, THIN_AIR, MARGIN_LEFT, FREEZING, AIMS_OFF, STOPS_WITHIN, FIELD_NEAR,
    FIELD_NEAR_CHANGES, TURNS_NEAR, TURNS_NEAR_SHARE,
)  # fmt: skip
