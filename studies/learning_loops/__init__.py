"""Fly, debrief, brief again: whether the bands of what is learned narrow, and still hold the truth.

Run ``python -m studies.learning_loops.run --loops 500 --seed 13``; it writes the figures of ``docs/learning.md``.
`flown` is a light simulator that shares no code with the product; `asked` is the only module that calls it.
Everything flown here is invented.
"""
