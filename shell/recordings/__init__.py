"""A recording in the shell: opened, its cranks shown as plots, taken as readings with one key."""
