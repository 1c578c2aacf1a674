"""Pictures, films and plots of a run; nothing here computes a figure that is shown.

The modules are imported by name (`tipline.view.stills`, `.film`, `.figures`), so that a caller pays for pyvista or
matplotlib only when it asks for a picture.
"""
