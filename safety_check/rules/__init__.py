"""Which limit holds, what each hazard is, and how findings make a verdict."""
