"""The chain of what was observed and answered, step by step; any step can be taken back.

The belief after a chain is that of its observations in any order.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from turnback.base.errors import bad_input
from turnback.knowledge.book import Check
from turnback.records.belief import Observation, Told


@dataclass(frozen=True, slots=True)
class Step:
    """What was told at one time.

    Parameters
    ----------
    observations : tuple of Observation
    answers : str
        Key of what was done to find out; empty where it was only observed.
    """

    observations: tuple[Observation, ...]
    answers: str = ""


@dataclass(frozen=True, slots=True)
class Chain:
    """All steps, oldest first, and those taken back.

    Parameters
    ----------
    steps : tuple of Step
    back : tuple of Step
        Taken back, the last one last.
    """

    steps: tuple[Step, ...] = ()
    back: tuple[Step, ...] = ()

    @property
    def observations(self) -> tuple[Observation, ...]:
        """What stands, oldest first."""
        return tuple(one for step in self.steps for one in step.observations)

    def observed(self, *observations: Observation) -> Chain:
        """Return the chain with one more step; itself where nothing was observed."""
        return replace(self, steps=(*self.steps, Step(observations))) if observations else self

    def answered(self, check: Check, seen: Sequence[bool], *, sure: float = 1.0) -> Chain:
        """Return the chain with the result of a check; an earlier result of the same one is taken back.

        Parameters
        ----------
        check : Check
        seen : sequence of bool
            One for each of its signs.
        sure : float
            0.5 to 1.

        Raises
        ------
        InputError
            Where there are more or fewer results than signs.
        """
        if len(seen) != len(check.signs):
            raise bad_input(
                check.key,
                f"{len(seen)} results for {len(check.signs)} signs",
                "say for each of its signs whether it was seen",
            )
        told = tuple(
            Observation(sign, bool(was), sure, check.key, Told.CHECK)
            for sign, was in zip(check.signs, seen, strict=True)
        )
        earlier = tuple(step for step in self.steps if step.answers == check.key)
        kept = tuple(step for step in self.steps if step.answers != check.key)
        return Chain((*kept, Step(told, check.key)), (*self.back, *earlier))

    def taken_back(self, n: int = 1) -> Chain:
        """Return the chain without its last steps.

        Raises
        ------
        InputError
            Where there are not that many steps.
        """
        if not 0 <= n <= len(self.steps):
            raise bad_input(
                "chain", f"{n} steps to take back, of {len(self.steps)}", "take back as many as there are at most"
            )
        kept = len(self.steps) - n
        return Chain(self.steps[:kept], (*self.back, *reversed(self.steps[kept:])))

    def to_json(self) -> str:
        """Return the chain as JSON, the same bytes for the same chain."""
        told = {"steps": [_plain(step) for step in self.steps], "taken_back": [_plain(step) for step in self.back]}
        return json.dumps(told, indent=2, ensure_ascii=False)


def chain_from_json(text: str) -> Chain:
    """Return the chain that `Chain.to_json` wrote.

    Raises
    ------
    InputError
        Where the text is no such chain.
    """
    try:
        told = json.loads(text)
        steps, back = tuple(map(_step, told["steps"])), tuple(map(_step, told["taken_back"]))
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise bad_input("chain", f"it cannot be read ({error})", "give the text that was saved, unchanged") from error
    return Chain(steps, back)


def _plain(step: Step) -> dict[str, Any]:
    observations = [
        {"sign": one.sign, "seen": one.seen, "sure": one.sure, "group": one.group, "told": one.told.value}
        for one in step.observations
    ]
    return {"answers": step.answers, "observations": observations}


def _step(told: dict[str, Any]) -> Step:
    return Step(tuple(map(_observation, told["observations"])), _typed(told["answers"], str))


def _observation(told: dict[str, Any]) -> Observation:
    sure = _typed(told["sure"], int | float)
    if isinstance(sure, bool) or not 0.5 <= sure <= 1.0:
        raise ValueError(f"sure is {sure}, not 0.5 to 1")
    return Observation(
        _typed(told["sign"], str), _typed(told["seen"], bool), float(sure), _typed(told["group"], str),
        Told(told["told"]),
    )  # fmt: skip


def _typed(value: Any, kind: Any) -> Any:
    if not isinstance(value, kind):
        raise TypeError(f"{value!r} has the wrong kind")
    return value
