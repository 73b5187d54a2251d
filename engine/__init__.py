"""The reasoning: values in, values out; no terminal, no clock, no files but the knowledge base."""
