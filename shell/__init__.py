"""The terminal side: turns what the engine says into lines, and lines into what it is told."""
