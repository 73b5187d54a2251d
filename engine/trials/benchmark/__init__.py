"""Cases and knowledge bases of any size, to time the engine with."""
