"""A campaign that tries to get a GO that nothing has earned."""
