// Where the browser draws no pictures: of each run that is shown the still that is nearest in time, and when that is.

class Stills {
  constructor(figures) {
    this.rows = [...figures].map((figure) => ({ figure, time: Number(figure.dataset.time), run: Number(figure.dataset.run) }));
  }

  // None that is later than what may be seen.
  show(runs, time, until) {
    for (const { figure } of this.rows) figure.hidden = true;
    runs.forEach((run, place) => {
      const rows = this.rows.filter((row) => row.run === run && row.time <= until + 1e-6);
      if (!rows.length) return;
      const nearest = rows.reduce((a, b) => (Math.abs(b.time - time) < Math.abs(a.time - time) ? b : a));
      nearest.figure.hidden = false;
      nearest.figure.querySelector(".which").textContent = runs.length > 1 ? `${"AB"[place]}: ` : "";
    });
  }
}
