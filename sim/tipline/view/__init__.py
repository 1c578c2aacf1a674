"""Pictures, films and plots of a run; nothing here computes a figure that a report would state.

The functions load pyvista or matplotlib when they are called, so that a caller pays for them only then.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tipline.floors.answers.report import FloorReport
    from tipline.incidents.report import Course, IncidentReport
    from tipline.pose.assessment import PoseReport
    from tipline.results import Run
    from tipline.runs.assessment import RunReport
    from tipline.scenario import Case
    from tipline.set_ups.assessment import LoadsReport
    from tipline.slope_limits.maps import SlopeReport
    from tipline.sweeps.report import SweepReport
    from tipline.truck_fit.assessment import FitReport
    from tipline.units import System
    from tipline.view.drawers import Drawers
    from tipline.view.moments import Stills
    from tipline.view.movie import Film

__all__ = [
    "begin_film",
    "begin_stills",
    "calibration_drawings",
    "course_drawings",
    "drawers_ready",
    "figures",
    "fit_drawing",
    "floor_drawings",
    "incident_drawings",
    "load",
    "load_drawings",
    "probe",
    "set_up_drawing",
    "slope_drawings",
    "sweep_drawings",
    "wheel_sketch",
]


def probe() -> str | None:
    """Find out whether this computer can render; None, or a text that says what to install."""
    from tipline.view import gl

    return gl.probe()


def load(*, scenes: bool = True) -> None:
    """Load what draws, so that it is there when it is needed; scenes only where this computer has OpenGL."""
    from tipline.view.libraries import load_all

    load_all(scenes=scenes)


def drawers_ready(*, film: bool) -> Drawers | None:
    """Start processes that draw, before it is known what, by a core that is idle: a film by all, stills by one.

    They are to be closed. None: with one core they would not pay.
    """
    from tipline.children import cores
    from tipline.view.drawers import Drawers
    from tipline.view.frames import most_drawers

    return Drawers(most_drawers() if film else 1, together=cores() - 1) if cores() > 1 else None


def begin_stills(
    run: Run, report: RunReport, case: Case, system: System = "si", drawers: Drawers | None = None
) -> Stills:
    """Begin to draw the run at rest, at the worst moment and at the end; what is returned writes and is to be closed.

    Raises
    ------
    MissingPart
        OpenGL is absent.
    """
    from tipline.view.moments import Stills
    from tipline.view.tell import tell

    return Stills(tell(run, report, case, system), system, drawers)


def begin_film(
    run: Run,
    report: RunReport,
    case: Case,
    draft: bool = False,
    system: System = "si",
    drawers: Drawers | None = None,
) -> Film:
    """Begin to draw the film of the run; what is returned writes it, and is to be closed.

    Raises
    ------
    MissingPart
        OpenGL or imageio-ffmpeg is absent.
    """
    from tipline.view.movie import Film
    from tipline.view.tell import tell

    return Film(tell(run, report, case, system), draft, system, drawers)


def figures(run: Run, report: RunReport, case: Case, system: System = "si") -> dict[str, str]:
    """Give the plots of the run over time as SVG text by caption."""
    from tipline.view.plots import draw_plots
    from tipline.view.tell import tell

    return draw_plots(tell(run, report, case, system), system)


def fit_drawing(report: FitReport, system: System = "si") -> tuple[str, str]:
    """Draw what a fit leaves of each value's range; give the caption and SVG text. Nothing is loaded for it."""
    from tipline.view.fit_ranges import draw_fit, fit_caption

    return fit_caption(report), draw_fit(report, system)


def floor_drawings(report: FloorReport, system: System = "si") -> list[tuple[str, str, str]]:
    """Draw the floor in plan and its stress map; give file name, caption and SVG text of each."""
    from tipline.view.floor_plan import draw_floor_plan
    from tipline.view.stress_map import draw_stress_map

    plan = "The floor in plan, with the tyres where they stand or start, and the worst place ringed."
    drawn = [("floor-plan.svg", plan, draw_floor_plan(report, system))]
    if report.stress is not None:
        stress = report.stress
        unit, name = (1e6, "MPa") if system == "si" else (6894.757293168361, "psi")
        caption = (
            f"Tension in {stress.zone} about {stress.tyre}, by plate elements with the likely values: greatest "
            f"{stress.greatest / unit:.3g} {name}, where the closed formulas of the table give "
            f"{stress.closed / unit:.3g} {name}. Axes of the panel: x towards the nearest edge or joint."
        )
        drawn.append(("stress-map.svg", caption, draw_stress_map(stress, report.demo, system)))
    return drawn


def set_up_drawing(report: PoseReport, system: System = "si") -> tuple[str, str]:
    """Draw a set-up at rest from above; give the caption and SVG text. Nothing is loaded for it."""
    from tipline.view.set_up_plan import draw_set_up, set_up_caption

    return set_up_caption(report), draw_set_up(report, system)


def wheel_sketch(report: FloorReport, system: System = "si") -> tuple[str, str]:
    """Draw the tyres in plan with their distances; give the caption and SVG text."""
    from tipline.view.wheel_plan import draw_wheel_plan

    caption = "The tyres from above, the front to the left: patches to scale, distances from middle to middle."
    return caption, draw_wheel_plan(report, system)


def slope_drawings(report: SlopeReport, system: System = "si") -> list[tuple[str, str, str]]:
    """Draw the polar maps of slope limits and the limit curves; give file name, caption and SVG text of each."""
    from tipline.view.slope_map import draw_limit_curves, draw_slope_maps

    svg, count = draw_slope_maps(report, system)
    some = "" if count == len(report.maps) else f" {count} of {len(report.maps)} set-ups."
    drawn = []
    if svg:
        text = (
            "The slope at which something goes first, by where the floor falls to; the ring marks the least. Grey: in "
            "the hardest of the truck's own stops; no grey line where the truck tips in that stop on a level floor."
        )
        drawn.append(("slope-map.svg", text + some, svg))
    if svg:
        curves = (
            "Greatest steady speed in a turn by its radius, a curve a height; greatest deceleration by height; least "
            "slope limit by height, 0 where the truck tips in its stop on a level floor."
        )
        drawn.append(("limit-curves.svg", curves, draw_limit_curves(report, system)))
    return drawn


def incident_drawings(report: IncidentReport, system: System = "si") -> list[tuple[str, str, str]]:
    """Draw what was found of an incident and where the nearest runs end; give file name, caption and SVG text."""
    from tipline.view.incident_plan import draw_incident_plan

    caption = (
        "What was found, from above, and where the runs of each cause that come nearest to it end: the truck as a line "
        "back from the dot at its drive axle, the load as a square; strong the nearest run."
    )
    return [("found.svg", caption, draw_incident_plan(report, system))]


def course_drawings(course: Course, demo: str, name: str, system: System = "si") -> list[tuple[str, str, str]]:
    """Draw the moments of the nearest run of a cause; give file name, caption and SVG text of each."""
    from tipline.view.course import draw_course

    drawn = enumerate(draw_course(course, demo, system), start=1)
    return [(f"{name}-{number}.svg", caption, svg) for number, (caption, svg) in drawn]


def calibration_drawings(report: IncidentReport, system: System = "si") -> list[tuple[str, str, str]]:
    """Draw what was told of made-up cases beside what was so; give file name, caption and SVG text."""
    from tipline.view.calibration_plot import draw_calibration

    caption = (
        "Left: how often it was that cause against what was told of it, bars 95 % intervals; on the line told and so "
        "are one. Right: how many settings of made-up cases rank in each tenth among the runs of their cause, as the "
        "records weigh them; in the band a tenth lies about 19 times in 20 if they rank alike anywhere."
    )
    return [("calibration.svg", caption, draw_calibration(report.calibration, report.demo, system))]


def load_drawings(report: LoadsReport, system: System = "si") -> list[tuple[str, str, str]]:
    """Draw the loads by load centre and reach; give file name, caption and SVG text."""
    from tipline.view.load_chart import draw_loads

    what = "The capacity plate's loads" if report.has_plate else "For teaching only: the loads that our rules leave"
    caption = f"{what} by load centre and reach, a line a set-up; triangles: the least load that must stay on."
    return [("loads.svg", caption, draw_loads(report, system))]


def sweep_drawings(report: SweepReport, system: System = "si") -> list[tuple[str, str, str]]:
    """Draw what a sweep found; give file name, caption and SVG text of each."""
    from tipline.sweeps.words import ended
    from tipline.view import sweep_plots as plots
    from tipline.view.sweep_map import MOST_PANELS, draw_map

    drawn = []
    if report.map is not None:
        said = (
            f"How each combination ended, over {report.map.across.label} and {report.map.up.label}. Triangle: "
            f"{ended(report.outcome)}; circle: did not."
        )
        if len(report.map.panels) > MOST_PANELS:
            said += f" The first {MOST_PANELS} of {len(report.map.panels)} maps; the table below goes on."
        drawn.append(("map.svg", said, draw_map(report, system)))
    if report.shares:
        said = "Share of each ending among the runs with a result; orange: the truck over, or on its body."
        drawn.append(("shares.svg", said, plots.draw_shares(report, system)))
    if report.effects:
        said = "What moves the answer most, on top: each input from its lowest to its highest values."
        drawn.append(("effects.svg", said, plots.draw_effects(report, system)))
    if report.indices or report.measure_indices:
        said = "Sobol indices: the part of how runs differ that each input makes, 1 being all of it."
        drawn.append(("indices.svg", said, plots.draw_indices(report, system)))
    if report.points:
        said = (
            f"The {report.measure} of each run against each input; below zero the balance point was past the line. "
            "Of a run that went over it counts up to where there was no way back."
        )
        if report.kind == "thresholds":
            said = f"The {report.measure} of each row against each input."
        drawn.append(("inputs.svg", said, plots.draw_points(report, system)))
    return [entry for entry in drawn if entry[2]]
