"""What comes before any cause: whether somebody is hurt, what to leave as it is, and the pack."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.debrief import DebriefAnswer, Hurt, PackState, Step, Whereabouts
from turnback.report.language import mark, text

HELP: Final = (
    mark(
        "See to whoever is hurt before anything else. Call the emergency number for anything beyond a scratch, for "
        "every knock to head or eye, and whenever you are not sure."
    ),
    mark("Disarm, and keep everybody away until all rotors stand still."),
)
KEEP: Final = (
    mark(
        "Leave the aircraft, the pack, the goggles and the records as they are: move, mend, charge, fly and delete "
        "nothing. Move the pack only if it swells or gets hot, and only if nobody comes into danger by it."
    ),
    mark("Write down the time, the place, the weather, and who stood where. Ask witnesses for their names."),
    mark(
        "A person takes over from here: whoever is in charge where you fly. Nothing is said of causes, and no letter "
        "is written."
    ),
)
PACK_KEPT: Final = (
    mark(
        "The pack stays as it is, like everything else. Unplug it only if it endangers somebody as it lies there, and "
        "only if nobody comes into danger by that."
    ),
    mark(
        "If it is dented, swollen or hot: everybody away from it, and watch it from a distance. If it must be moved: "
        "outdoors, on ground that does not burn, away from what does. Never charge it."
    ),
    mark("It goes to the collection for batteries only when whoever takes over has seen it."),
    mark(
        "If it smokes or burns: everybody away from it and out of the smoke, and call the fire service. Carry nothing."
    ),
)
ASK_HURT: Final = (
    mark("Is anybody hurt, even a little? That comes before everything else."),
    mark("If somebody is: see to them first, leave everything as it is, and say so."),
)
PACK: Final = (
    mark(
        "Go near it only when all rotors stand still and nothing smokes. Unplug the pack if that is safe; the pack is "
        "the first thing you touch."
    ),
    mark(
        "A dented, swollen, hot or wet pack, or one that has smoked, goes outdoors, on ground that does not burn, away "
        "from what does. Watch it from a distance for an hour or longer."
    ),
    mark("Never charge it or fly it again. Bring it to your local collection for batteries, and say what happened."),
    mark(
        "If it smokes or burns: everybody away from it and out of the smoke, and call the fire service. Carry nothing."
    ),
)
ASK_PACK: Final = (
    mark("Look at the pack: is it dented, swollen, hot, wet, cut, or does it smell sweet?"),
    mark("Until you know, treat it as damaged: unplugged if that is safe, outdoors, watched, not charged."),
)
TITLES: Final[dict[Step, str]] = {
    Step.HURT: mark("Help first"),
    Step.ASK_HURT: mark("First: is anybody hurt?"),
    Step.PACK: mark("Make the pack safe"),
    Step.ASK_PACK: mark("Is the pack safe?"),
    Step.SEARCH: mark("Where to look for it"),
    Step.ASK_ONE: mark("The one question that decides most"),
    Step.CAUSES: mark("Why, most likely"),
}
LINES: Final[dict[Step, tuple[str, ...]]] = {
    Step.HURT: (*HELP, *KEEP),
    Step.ASK_HURT: ASK_HURT,
    Step.PACK: PACK,
    Step.ASK_PACK: ASK_PACK,
}
ASKS: Final[dict[Step, tuple[tuple[str, str], ...]]] = {
    Step.ASK_HURT: (
        (mark("If nobody is hurt:"), "hurt=no"),
        (mark("If somebody is hurt:"), "hurt=yes"),
    ),
    Step.ASK_PACK: (
        (mark("If the pack is as it was:"), "pack=fine"),
        (mark("If it is not:"), "pack=damaged"),
    ),
    Step.SEARCH: ((mark("When it is found, or was never lost:"), "whereabouts=found"),),
}
LETTER_HURT: Final = mark("First: is anybody hurt? If so, help, leave everything as it is, and tell us.")
LETTER_PACK: Final = mark(
    "Unplug the pack if safe. Dented, swollen, wet or hot: outdoors, away from what burns, watched, never "
    "charged. Smoking: keep away."
)
CAUTIONS: Final = (
    mark(
        "Do not fly it again before it was looked over with the propellers off, and before what is found is mended. "
        "The first hop then: low, short, everybody well away, a finger on disarm."
    ),
    mark("LiPo packs burn. A swollen, dented, hot or wet pack is not connected or charged again."),
    mark("Propellers off for every test on the bench. Connect the pack last, and disconnect it first."),
    mark(
        "This is an estimate from what was told and recorded. It blames nobody. Where somebody competent beside you "
        "says otherwise, they are right."
    ),
    mark("This does not know your local law. It may ask you to report what happened. Look it up."),
)
HANGS: Final = mark(
    "Where it hangs on a wire, lies on a roof, on rails, on ice, in deep water or on other people's ground, leave it "
    "and call whoever that belongs to. Climb nothing for it. Search in daylight, at least two of you."
)
CAUTIONS_HURT: Final = (
    mark("Do not guess at causes, in front of anybody or in writing, and let nobody press you to."),
    mark("This does not know your local law. It may ask you to report what happened, and soon. Look it up."),
    mark("This is no medical advice. Where somebody competent says otherwise, they are right."),
)
OF_PLACES: Final = mark(
    "Page, numbers and search area hold where it flew, and often where somebody lives. Before you give them away, take "
    "the places out: --redact."
)


@dataclass(frozen=True, slots=True)
class Typed:
    """One way to answer a question: when it is so, and what is then typed."""

    words: str
    flag: str


def kept_back(answer: DebriefAnswer) -> bool:
    """Tell whether somebody is hurt: then nothing is said of causes, and no letter is written."""
    return answer.held_back or Step.HURT in answer.steps or answer.told.hurt is Hurt.YES


def safe_title(step: Step) -> str:
    """Return the heading of a step."""
    return text(TITLES[step])


def safe_lines(step: Step, *, back: bool = False) -> tuple[str, ...]:
    """Return what is to be done for people and pack; empty for other steps.

    Parameters
    ----------
    step : Step
    back : bool
        Somebody is hurt: what there is stays as it is.
    """
    kept = back and step in (Step.PACK, Step.ASK_PACK)
    return tuple(text(line) for line in (PACK_KEPT if kept else LINES.get(step, ())))


def safe_asks(step: Step) -> tuple[Typed, ...]:
    """Return how the question of a step is answered."""
    return tuple(Typed(text(words), f"--answer {flag}") for words, flag in ASKS.get(step, ()))


def people_line(answer: DebriefAnswer) -> str:
    """Return the first of the five lines: people, then the pack."""
    if kept_back(answer):
        return text("Somebody is hurt: help first, and leave everything as it is.")
    hurt = answer.told.hurt is Hurt.NO
    known = {
        (True, PackState.FINE): mark("Nobody is hurt and the pack is as it was, as told."),
        (True, PackState.DAMAGED): mark("Nobody is hurt, as told. Make the pack safe before you read on."),
        (True, PackState.NOT_TOLD): mark("Nobody is hurt, as told. Look at the pack before you read on."),
        (False, PackState.FINE): mark("Is anybody hurt? That comes first. The pack is as it was, as told."),
        (False, PackState.DAMAGED): mark("Is anybody hurt? That comes first. Then make the pack safe."),
        (False, PackState.NOT_TOLD): mark("Is anybody hurt? That comes first. Then look at the pack."),
    }
    return text(known[hurt, answer.told.pack])


def debrief_cautions(answer: DebriefAnswer, *, places: bool) -> tuple[str, ...]:
    """Return what to be careful of, whatever the cause."""
    if kept_back(answer):
        return tuple(text(line) for line in CAUTIONS_HURT)
    said = [text(line) for line in CAUTIONS]
    if answer.told.whereabouts is not Whereabouts.NOT_TOLD and answer.search is None:
        said.append(text(HANGS))
    known = answer.record is not None or (answer.search is not None and answer.search.launch_latitude_deg is not None)
    return (*said, text(OF_PLACES)) if places and known else tuple(said)
