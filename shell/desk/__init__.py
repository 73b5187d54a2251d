"""The desk of somebody who advises from afar: cases at a glance, messages out, replies in, the next shift."""
