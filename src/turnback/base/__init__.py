"""Floor 0: errors, citations, constants, ranges, random streams."""
