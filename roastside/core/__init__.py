"""Pure computation: one reading at a time in, plain values out. No clock, no I/O."""
