"""Floor 3: files from anywhere to records."""
