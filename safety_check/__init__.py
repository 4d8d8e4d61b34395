"""A go/no-go paddle-safety checker for people who fish from small craft."""

__version__ = "0.1.0"
