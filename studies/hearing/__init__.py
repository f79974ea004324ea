"""How well a pilot's free text is heard: sentences of our own, split before tuning.

Run ``python -m studies.hearing.run``; it writes the figures of ``docs/hearing.md``.
"""
