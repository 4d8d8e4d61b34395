"""Common Alerting Protocol: the messages of warning services all over the world."""
