"""Plan, briefing and rules in; verdict, outlook, changes out. Pure: no I/O, no clock."""
