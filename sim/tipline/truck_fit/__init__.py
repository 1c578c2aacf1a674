"""A machine's masses, centres and mast fitted to what scales, a tape and the capacity plate have said of it."""
