"""Commands for a fault that comes and goes: be there at the next failure, read what was recorded."""
