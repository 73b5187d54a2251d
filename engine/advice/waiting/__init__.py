"""Being there when it fails: what to leave connected, what each picture means, what brings the fault on."""
