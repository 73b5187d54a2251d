"""The shipped knowledge base: YAML only."""
