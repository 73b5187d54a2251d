"""Learning from closed cases: where they come from, what is offered, tried and written."""
