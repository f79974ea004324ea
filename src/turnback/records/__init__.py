"""Floor 2: frozen, validated records: what the world is."""
