"""From plain data to the frozen records of `crankpath.engine.knowledge.records`, section by section."""
