"""What people hold of a lift, asked in a dozen questions, and the three files that their answers make."""
