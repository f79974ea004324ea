"""What is a danger by itself is said, whatever else was asked: a hurt hand, a swollen pack."""

from __future__ import annotations

import pytest

from turnback.cli import main


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("I got cut by a propeller while I carried it", "see to the wound first"),
        ("the pack is puffy", "is not connected, charged or flown"),
    ],
)
def test_a_danger_that_was_heard_is_said_in_the_five_lines(
    words: str, first: str, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["bench", "--said", words])
    five_lines = " ".join(capsys.readouterr().out.split("How your words")[0].split())
    assert first in five_lines
    assert "Unplug first." in five_lines


def test_without_a_danger_nobody_is_alarmed(capsys: pytest.CaptureFixture[str]) -> None:
    main(["bench", "--said", "it always drifts to the left"])
    said = " ".join(capsys.readouterr().out.split("How your words")[0].split())
    assert "wound" not in said
    assert "hisses" not in said
