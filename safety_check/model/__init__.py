"""What the other rooms talk about: frozen types, no input, no output, no computation."""
