"""What people hold of a lift, asked in thirteen questions, and the three files that their answers make."""
