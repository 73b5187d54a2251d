"""From plain data to the frozen records of `crankpath.engine.knowledge`, section by section."""
