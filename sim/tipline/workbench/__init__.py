"""Pages in a browser on this computer: a set-up changed and watched at rest, its runs, and what other commands say."""
