"""The book: one SQLite file that indexes roasts and keeps coffees, lots and references."""
