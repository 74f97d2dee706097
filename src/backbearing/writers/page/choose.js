"use strict";
// One chosen day and minute for all panels. Nothing is worked out here: what is shown stands in
// the page's tables, every ten minutes of the near days.
(() => {
  const data = JSON.parse(document.getElementById("return-data").textContent).chosen;
  const bar = document.getElementById("bar");
  if (!data || !bar) return;
  const says = document.getElementById("bar-says"), slider = document.getElementById("bar-minute");
  const days = document.getElementById("bar-day"), strip = document.querySelector("svg.strip");
  const clock = (minute) =>
    `${String(Math.floor(minute / 60) % 24).padStart(2, "0")}:${String(minute % 60).padStart(2, "0")}`;
  const svg = (parent, tag, attributes) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    parent.appendChild(made);
    return made;
  };
  data.days.forEach((day, number) => days.append(new Option(day.name, number)));
  const nearest = (rows, minute) => rows.reduce((best, row) =>
    Math.abs(row[0] - minute) < Math.abs(best[0] - minute) ? row : best, rows[0]);
  let day = 0, minute = 0, drawn = [];

  // ------------------------------------------------------------ the skyline: the sun's disc and way
  const onStrip = (row) => {
    const { left, right, top, bottom, first_deg, top_deg } = data.strip;
    const turned = (((row[1] - first_deg) % 360) + 360) % 360;
    return [left + (turned / 360) * (right - left), bottom - (row[2] / top_deg) * (bottom - top)];
  };
  const drawSun = (chosen, row) => {
    if (!strip || !data.strip) return;
    let path = "", last = null;
    for (const each of chosen.at) {
      const [x, y] = onStrip(each);
      if (each[2] >= -1) {
        path += `${last !== null && Math.abs(x - last) < 300 ? "L" : "M"}${x.toFixed(1)} ${y.toFixed(1)}`;
        last = x;
      } else last = null;
    }
    if (path) {
      drawn.push(svg(strip, "path", { class: "way case", d: path }));
      drawn.push(svg(strip, "path", { class: "way", d: path }));
    }
    if (row[2] >= -1) {
      const [cx, cy] = onStrip(row);
      drawn.push(svg(strip, "circle", { class: row[3] === 3 ? "disc on" : "disc", cx, cy, r: 9 }));
    }
  };

  // ------------------------------------------------------------ the calendar and the curve
  const drawCursors = (chosen) => {
    for (const year of document.querySelectorAll("#year svg.year[data-near]")) {
      const { left, right, first, last, top, high } = year.dataset;
      const x = Number(left) + ((minute - first * 60) / ((last - first) * 60)) * (right - left);
      const y = Number(top) + day * high;
      drawn.push(svg(year, "path", { class: "cursor case", d: `M${x} ${y}v${high}` }));
      drawn.push(svg(year, "path", { class: "cursor", d: `M${x} ${y}v${high}` }));
    }
    for (const curve of document.querySelectorAll("svg.curve[data-day]")) {
      const { subject, from, to, left, right, top, bottom } = curve.dataset;
      if (subject !== data.subject || curve.dataset.day !== chosen.iso) continue;
      if (minute < from || minute > to) continue;
      const x = Number(left) + ((minute - from) / (to - from)) * (right - left);
      drawn.push(svg(curve, "path", { class: "cursor", d: `M${x} ${top}V${bottom}` }));
    }
  };

  const show = () => {
    const chosen = data.days[day];
    drawn.forEach((each) => each.remove());
    drawn = [];
    days.value = String(day);
    if (!chosen.at.length) {
      says.textContent = `${chosen.name}: the sun stays far down, no light here.`;
      document.dispatchEvent(new CustomEvent("chosen", { detail: { day, azimuth: null } }));
      return;
    }
    slider.min = chosen.at[0][0];
    slider.max = chosen.at[chosen.at.length - 1][0];
    slider.step = 10;
    const row = nearest(chosen.at, minute);
    minute = row[0];
    slider.value = minute;
    slider.setAttribute("aria-valuetext", clock(minute));
    const height = row[2] < 0 ? `${Math.round(-row[2])}° under` : `${Math.round(row[2])}° up`;
    const azimuth = String(Math.round(row[1]) % 360).padStart(3, "0");
    const seconds = chosen.seconds.length ? nearest(chosen.seconds, minute) : null;
    const parts = [
      `${chosen.name}, ${clock(minute)}: sun ${height} at ${azimuth}°, ${data.tones[row[3]]}`,
      `good light ${chosen.good}`,
      seconds && `${clock(seconds[0])} on ${data.kit}: clear ${seconds[1]}, overcast ${seconds[2]}`,
      data.planned && chosen.iso !== data.planned && "the day's walk is planned for another day",
    ];
    says.textContent = parts.filter(Boolean).join("; ") + ".";
    drawSun(chosen, row);
    drawCursors(chosen);
    document.dispatchEvent(new CustomEvent("chosen", {
      detail: { day, azimuth: row[2] > -0.9 ? row[1] : null, label: `sun ${azimuth}° at ${clock(minute)}` },
    }));
  };
  const choose = (wantedDay, wantedMinute) => {
    day = Math.min(Math.max(wantedDay, 0), data.days.length - 1);
    minute = wantedMinute;
    show();
  };

  days.addEventListener("change", () => choose(Number(days.value), minute));
  slider.addEventListener("input", () => choose(day, Number(slider.value)));
  bar.addEventListener("submit", (event) => event.preventDefault());
  for (const button of bar.querySelectorAll("[data-step]")) {
    const [what, by] = button.dataset.step.split(" ");
    button.addEventListener("click", () => what === "day"
      ? choose(day + Number(by), minute) : choose(day, minute + 10 * Number(by)));
  }
  document.getElementById("bar-lead").addEventListener("click", () => choose(...data.lead));
  document.addEventListener("choose", ({ detail }) => choose(detail.day, detail.minute ?? minute));
  bar.hidden = false;
  choose(...data.lead);
})();
