"""Pages that play runs back in a browser, from one file and without a network; nothing here computes a figure.

Bodies travel as animated glTF, what is shown beside them as arrays; the page's own scripts lie in `page`.
"""
