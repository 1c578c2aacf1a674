"""What would it take to tip a heavy-lift truck or to break the floor under it, and what happens then."""
