"""How often belief says "I do not know this" when the book does not know it, and how well it names what it knows."""
