"""Set-ups of one machine side by side: the greatest and least lifted load in each, and what governs it."""
