"""The policy held against one that looks two readings ahead, and what it foretells against what came."""
