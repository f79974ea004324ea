"""Floor 3: records through physics to results."""
