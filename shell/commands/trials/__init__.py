"""Commands on solved machines with hidden faults: evaluate and practice."""
