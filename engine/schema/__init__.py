"""Structure of the YAML files: a schema and the slips it finds, with file, line and column."""
