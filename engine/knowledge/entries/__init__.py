"""The entries of a knowledge base as records: the one definition of their structure."""
