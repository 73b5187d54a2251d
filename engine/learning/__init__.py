"""What closed cases teach: how often faults are met, what readings show, which rules misled."""
