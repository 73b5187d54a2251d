"""The records of single entries, by what they are about."""
