"""What a person typed: numbers with units, names and near spellings."""
