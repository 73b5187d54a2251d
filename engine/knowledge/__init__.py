"""The knowledge base: YAML files in, frozen records with file and line out."""
