"""Words beside what can be told at the bench; the left side is what is typed."""

from __future__ import annotations

from typing import Final

from turnback.report.language import mark

SAW_WORDS: Final = (
    ("hovers-well", mark("It hovers and follows its pilot.")),
    ("flips-at-once=WHERE", mark("It rolls over as soon as it gets throttle. WHERE is the corner or side it tips "
     "toward: front-left, front-right, rear-left, rear-right, front, rear, left or right; or leave it out.")),
    ("lifts-then-flips=WHERE", mark("It lifts, then rolls over. WHERE as above.")),
    ("spins", mark("It lifts and turns like a top.")),
    ("stays-down", mark("Full throttle, it stays level on the ground.")),
    ("weak-and-loud=CORNER", mark("It flies, but weak, loud and hot; leave the corner out if you cannot tell.")),
    ("runs-up-without-propellers", mark("Armed without propellers, its motors run up by themselves. That is normal: "
     "do not do it.")),
    ("motor-turns=CORNER:DIRECTION", mark("A motor turns clockwise or anticlockwise, seen from above.")),
    ("wrong-corner-turns=CORNER", mark("Another corner turns than the one that was asked for.")),
    ("tilt-shown-wrong", mark("The tilt that is shown is not the way it is held.")),
)  # fmt: skip
"""As they are typed, with what they mean; every `records.bench.Saw` is here, a test sees to it."""

CHECK_WORDS: Final = (
    ("propeller-direction.CORNER=right|wrong", mark("Look, unplugged: does the leading edge face the way the motor "
     "has to turn? Without a corner: all four are right.")),
    ("propeller-face.CORNER=up|down", mark("Look, unplugged: is the face with the lettering up?")),
    ("board-arrow=forward|left|right|rear|upside-down", mark("Look, unplugged: where does the arrow on the flight "
     "board point?")),
    ("motor-direction.CORNER=right|wrong", mark("Powered: propellers off, restrained, short, no throttle. Hold a paper "
     "flag to the bell.")),
    ("motor-order=right|CORNER:CORNER", mark("Powered: propellers off, restrained, short, no throttle. Ask for one "
     "corner at a time; name the corners that answered crosswise.")),
    ("hand-tilt=right|wrong", mark("Powered: propellers off, not armed, no throttle. Tilt it by hand: does the shown "
     "tilt follow?")),
)  # fmt: skip
