"""What the engine says, as plain text and as JSON; pure functions, no terminal."""
