"""Floor 1: thresholds and typical values as data, each with source and reason."""
