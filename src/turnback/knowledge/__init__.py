"""The book: causes, the signs that they show, and the checks that decide between them. Data, and what refuses it."""
