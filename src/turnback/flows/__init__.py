"""Floor 4: each flow reads as a story."""
