"""What a person most likely mistyped: in a text that is no YAML, in a value, in a name."""
