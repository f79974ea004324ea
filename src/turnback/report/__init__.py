"""Floor 5: words, plots, pages; nothing computes here."""
