"use strict";
// One chosen subject, day and minute for all panels, out of the page's tables.
(() => {
  const page = JSON.parse(document.getElementById("return-data").textContent), data = page.chosen;
  const bar = document.getElementById("bar");
  if (!data || !bar) return;
  const { clock, minutes, seconds, spans, good, say, apart } = yearTables(data);
  const byId = (id) => document.getElementById(id);
  const slider = byId("bar-minute");
  const days = byId("bar-day"), subjects = byId("bar-subject");
  const put = (parent, tag, attributes, text) => {
    const svg = parent.namespaceURI.endsWith("svg") || tag === "svg";
    const made = svg ? document.createElementNS("http://www.w3.org/2000/svg", tag)
      : document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    if (text !== undefined) made.textContent = text;
    parent.appendChild(made);
    return made;
  };
  data.days.forEach(([name], number) => days.append(new Option(name, number)));
  data.subjects.forEach(({ name }, number) => subjects.append(new Option(name, number)));
  subjects.hidden = data.subjects.length < 2;
  const dayOf = new Map(data.days.map(([, iso], number) => [iso, number]));
  const nearest = (rows, minute) => rows.reduce((best, row) =>
    Math.abs(row[0] - minute) < Math.abs(best[0] - minute) ? row : best, rows[0]);
  let who = 0, day = 0, minute = 0, drawn = [];
  const keep = (made) => drawn.push(made);
  // drawn twice, so that it shows on dark and light alike
  const cased = (parent, kind, d) => {
    for (const each of [`${kind} case`, kind]) keep(put(parent, "path", { class: each, d }));
  };

  // a line of the chosen day at the head of a panel
  const lines = new Map();
  const line = (panel, text) => {
    if (!lines.has(panel)) {
      const made = document.createElement("p");
      made.className = "of-day";
      const head = panel.querySelector("header, h1");
      if (!head) return null;
      head.after(made);
      lines.set(panel, made);
    }
    const found = lines.get(panel);
    if (found.textContent !== text) found.textContent = text;
    return found;
  };

  // ------------------------------------------------------------ the skylines: the sun's disc and way
  const drawSun = (strip, scale, rows, row) => {
    const span = scale.right - scale.left, turn = (360 / scale.span_deg) * span;
    const at = ([, azimuth, altitude]) => [
      scale.left + (((((azimuth - scale.first_deg) % 360) + 360) % 360) / 360) * turn,
      scale.bottom - (altitude / scale.top_deg) * (scale.bottom - scale.top)];
    const inside = ([x, y]) => x >= scale.left && x <= scale.right && y >= scale.top && y <= scale.bottom;
    let path = "", last = null;
    for (const each of rows) {
      const spot = at(each);
      const [x, y] = spot;
      if (inside(spot)) path += `${last !== null && Math.abs(x - last) < span / 2 ? "L" : "M"}${x.toFixed(1)} ${y.toFixed(1)}`;
      last = inside(spot) ? x : null;
    }
    if (path) cased(strip, "way", path);
    const [cx, cy] = at(row);
    if (inside([cx, cy])) keep(put(strip, "circle", { class: row[4] === 3 ? "disc on" : "disc", cx, cy, r: 9 }));
  };

  // ------------------------------------------------------------ the calendars and the curve
  const drawCursors = (of, iso) => {
    for (const year of document.querySelectorAll(`#year [data-of="${who}"] svg.year`)) {
      const { left, right, first, last, top, high } = year.dataset, near = "near" in year.dataset;
      if (near && day >= data.near_days) continue;
      const x = Number(left) + ((minute - first * 60) / ((last - first) * 60)) * (right - left);
      const tall = near ? Number(high) : Math.max(high / 7, 3);
      const y = Number(top) + (near ? day * high : (day * high) / 7);
      cased(year, "cursor row", `M${left} ${y + tall / 2}H${right}`);
      cased(year, "cursor", `M${x} ${y - 3}v${tall + 6}`);
    }
    let other = "";
    for (const curve of document.querySelectorAll("svg.curve[data-day]")) {
      const { subject, from, to, left, right, top, bottom } = curve.dataset;
      if (subject !== of.name) continue;
      const past = Number(to) < from ? 1440 : 0;
      if (curve.dataset.day !== iso) other = curve.dataset.day;
      else if (minute >= from && minute <= Number(to) + past) {
        const x = Number(left) + ((minute - from) / (to - from + past)) * (right - left);
        keep(put(curve, "path", { class: "cursor", d: `M${x} ${top}V${bottom}` }));
      }
    }
    return other;
  };

  // ------------------------------------------------------------ what is held of other days
  let held = { six: {}, says: {}, legs: {}, courses: [] };
  let unpacks = "DecompressionStream" in window;
  const unpack = async () => {
    const bytes = Uint8Array.from(atob(data.others), (each) => each.charCodeAt(0));
    const read = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
    held = JSON.parse(await new Response(read).text());
    data.texts = held.texts;
    data.subjects.forEach((each, number) => (each.seconds = held.seconds[number]));
    show();
    bar.dataset.held = "all";
  };
  // the held day nearest to the chosen one, -1 for none within three
  const closest = (days) => {
    const near = days.reduce((best, each) =>
      Math.abs(each - day) < Math.abs(best - day) ? Number(each) : best, Infinity);
    return Math.abs(near - day) <= 3 ? near : -1;
  };
  // a box with a day's own content, or with the plan's again; what was unfolded stays so
  const boxes = new Map(), courseDays = new Map();
  const fill = (box, html = "") => {
    if (!box) return;
    if (!boxes.has(box)) boxes.set(box, { own: box.innerHTML, now: "" });
    const kept = boxes.get(box);
    if (kept.now === html) return;
    kept.now = html;
    const open = [...box.querySelectorAll("details")].map((each) => each.open);
    const folds = () => [...box.querySelectorAll("summary")], focus = folds().indexOf(document.activeElement);
    box.innerHTML = html || kept.own;
    box.querySelectorAll("details").forEach((each, at) => (each.open = open[at]));
    if (focus >= 0) folds()[focus].focus();
  };
  const fillDay = (at) => {
    fill(byId("six"), held.six[at]);
    fill(byId("day-says"), held.says[at]);
    fill(byId("day-held"), held.legs[at]);
  };
  const fillCourse = (of) => {
    for (const curve of document.querySelectorAll("svg.curve"))
      if (curve.dataset.subject === of.name) {
        const box = curve.closest(".course"), days = held.courses[who] || {};
        if (!courseDays.has(box)) courseDays.set(box, dayOf.get(curve.dataset.day));
        const own = courseDays.get(box), at = closest([...Object.keys(days), own]);
        fill(box, at === own ? "" : days[at]);
      }
  };

  // ------------------------------------------------------------ seconds of the chosen minute
  const tellSeconds = (panel, of, name, other) => {
    const from = closest(Object.keys(of.seconds)), values = { day: name, clock: clock(minute), subject: of.name };
    const row = from < 0 ? null : nearest(seconds(of, from), minute);
    const curve = other && dayOf.has(other) ? ` ${say("curve_other", { day: data.days[dayOf.get(other)][0] })}` : "";
    let told = "";
    if (row) {
      told = say(row[0] === minute ? "seconds" : "seconds_near", { clock: clock(row[0]), clear: row[1], overcast: row[2] });
      if (from !== day) told = say("seconds_day", { day: data.days[from][0], seconds: told });
    }
    const command = `${of.expose}'${data.days[day][1]} ${clock(minute)}'`;
    line(panel, (told ? say("exposure", { ...values, kit: data.kit, seconds: told })
      : unpacks && data.others && !held.texts ? "" : say(unpacks ? "no_seconds" : "too_old", { ...values, command })) + curve);
    return told;
  };

  // ------------------------------------------------------------ shade: only what the page holds
  const shadeOf = (row) => {
    if (!page.ground || !page.ground.shades.length) return {};
    const shades = page.ground.shades, values = { day: data.days[day][0], clock: clock(minute) };
    const away = (each) => Math.abs(each.minute - minute);
    const fits = shades.filter((each) => away(each) <= 30 && Math.abs(dayOf.get(each.day) - day) <= 7);
    if (row[2] > -0.9 && fits.length) {
      const best = fits.reduce((one, each) => (away(each) < away(one) ? each : one));
      return { shade: shades.indexOf(best) };
    }
    const known = [...new Set(shades.map((each) => (data.days[dayOf.get(each.day)] || [each.day])[0]))];
    return { shade: -1, none: data.words.shade_none, why: say(row[2] > -0.9 ? "no_shade" : "no_shade_low",
      { ...values, shades: known.join(", ") }) };
  };

  const show = (shade) => {
    const of = data.subjects[who], [name, iso] = data.days[day], rows = minutes(of, day);
    drawn.forEach((each) => each.remove());
    drawn = [];
    days.value = String(day);
    subjects.value = String(who);
    for (const each of document.querySelectorAll("[data-of]")) each.hidden = Number(each.dataset.of) !== who;
    const row = rows.length ? nearest(rows, minute) : [720, null, -90, false, 0];
    minute = row[0];
    slider.disabled = !rows.length;
    if (rows.length) [slider.min, slider.max, slider.step] = [rows[0][0], rows[rows.length - 1][0], data.step];
    slider.value = minute;
    const azimuth = row[1] === null ? "" : String(Math.round(row[1]) % 360).padStart(3, "0");
    const height = say(Math.round(row[2]) < 0 ? "under" : "up", { degrees: Math.abs(Math.round(row[2])) });
    const sun = rows.length ? say("sun", { height, azimuth, tone: data.words.tones[row[4]] }) : data.words.no_sun;
    slider.setAttribute("aria-valuetext", `${clock(minute)}, ${sun}`);
    const values = { day: name, clock: clock(minute), subject: of.name, sun, good: good(of, day),
      light: spans(of, day, 1) };
    const here = spans(of, day, 3), planned = data.planned, plan = planned && data.days[planned[1]][0];
    const isPlan = planned && planned[0] === who && planned[1] === day;
    const panel = (id, text) => byId(id) && line(byId(id), text);

    // the head: what the chosen day gives; the plan's own words stay, marked as the plan's
    const isLead = who === data.lead[0] && day === data.lead[1];
    const lead = { day: data.days[data.lead[1]][0], subject: data.subjects[data.lead[0]].name };
    line(document.querySelector("header.top"),
      say("head", { ...values, planned: isLead ? "" : say("head_lead", lead) }).trim());

    const at = planned && planned[0] === who ? closest([...Object.keys(held.six), planned[1]]) : -1;
    const walks = planned && (at < 0 ? planned[1] : at);
    fillDay(walks);
    if (byId("six-of")) byId("six-of").hidden = at === day;
    const command = of.plan + iso, outing = document.querySelector("section#outing");
    const walk = line(outing || byId("year"), `${say("day", { ...values, sun: here })} ${!planned
      ? say("walk_none", { command }) : at === day ? data.words.walk_here
      : say("walk_other", { day: data.days[walks][0], subject: data.subjects[planned[0]].name, command })}`);
    if (data.subjects.length > 1) {
      if (!aside.parentNode) walk.after(aside);
      aside.textContent = others(name);
    }
    panel("map", rows.length && row[2] > -0.9 ? say("map", values) : say("map_dark", values));
    panel("light", say("list", values));
    byId("year-says").textContent = say("day", { ...values, sun: here });
    panel("skyline", say("strip", values));
    const strips = document.querySelectorAll(`#skyline [data-of="${who}"] svg.strip`);
    if (rows.length) strips.forEach((strip, number) => drawSun(strip, of.strips[number], rows, row));
    fillCourse(of);
    const curved = drawCursors(of, iso);
    const told = data.kit ? tellSeconds(byId("exposure"), of, name, curved) : "";
    panel("frame", say(row[2] < -0.9 ? "frame_low" : !of.line_known ? "frame_unknown"
      : row[3] ? "frame_near" : "frame_off", values));
    for (const each of document.querySelectorAll("section[id^=search]")) line(each, say("search", values));
    for (const each of data.subjects) {
      const its = byId(each.anchor);
      if (its) line(its, say("list", { day: name, good: good(each, day) }));
    }
    // what is chosen is what the panels say themselves: no second line then
    const calm = isLead && row[0] === data.lead[2] && (!planned || isPlan);
    for (const each of lines.values()) each.hidden = calm;
    byId("bar-wide").textContent = [say(rows.length ? "bar" : "bar_dark", { ...values, seconds: told ? `${told}; ` : "" }),
      data.subjects.length > 1 && `${apart(of.name)}.`,
      planned && !isPlan && say("bar_planned", { day: plan })].filter(Boolean).join(" ");
    // on a phone, where day and subject stand in the boxes under it
    byId("bar-slim").textContent = say("bar_slim", { ...values, first: told || sun });
    document.dispatchEvent(new CustomEvent("chosen", { detail: {
      number: of.number, azimuth: row[2] > -0.9 ? row[1] : null,
      label: say("sun_label", { azimuth, clock: clock(minute) }),
      ...(shade === undefined ? shadeOf(row) : { shade }) } }));
  };
  const aside = document.createElement("p");
  aside.className = "of-others";
  const others = (name) => {
    const lit = data.subjects.filter((each, number) => number !== who && each.good[day]);
    return lit.length ? say("near", { day: name, list: lit.map((each) => `${apart(each.name)} ${each.good[day]}`).join("; ") })
      : say("near_none", { day: name });
  };

  const choose = (wantedDay, wantedMinute, wantedWho = who, shade) => {
    day = Math.min(Math.max(wantedDay, 0), data.days.length - 1);
    minute = wantedMinute;
    who = wantedWho;
    show(shade);
  };
  const next = () => {
    const { best } = data.subjects[who];
    const after = Object.keys(best).map(Number).filter((each) =>
      each > day || (each === day && best[each] > minute));
    const found = after.length ? Math.min(...after) : Math.min(...Object.keys(best).map(Number));
    if (Number.isFinite(found)) choose(found, best[found]);
  };

  days.addEventListener("change", () => choose(Number(days.value), minute));
  subjects.addEventListener("change", () => choose(day, minute, Number(subjects.value)));
  slider.addEventListener("input", () => choose(day, Number(slider.value)));
  bar.addEventListener("submit", (event) => event.preventDefault());
  for (const button of bar.querySelectorAll("[data-step]")) {
    const [what, by] = button.dataset.step.split(" ");
    button.addEventListener("click", () => what === "day"
      ? choose(day + Number(by), minute) : choose(day, minute + data.step * Number(by)));
  }
  byId("bar-next").addEventListener("click", next);
  byId("bar-lead").addEventListener("click", () => choose(data.lead[1], data.lead[2], data.lead[0]));
  document.addEventListener("choose", ({ detail }) => {
    const wanted = dayOf.get(detail.iso);
    if (wanted !== undefined) choose(wanted, detail.minute, who, detail.shade);
  });

  // ------------------------------------------------------------ choosing in the calendars and lists
  for (const svg of document.querySelectorAll("#year svg.year[data-top]")) {
    const { left, right, first, last, top, high } = svg.dataset, near = "near" in svg.dataset;
    svg.setAttribute("tabindex", "0");
    svg.setAttribute("role", "application");
    svg.setAttribute("aria-describedby", "year-keys");
    svg.addEventListener("click", (event) => {
      const box = svg.getBoundingClientRect(), scale = svg.viewBox.baseVal.width / box.width;
      const row = ((event.clientY - box.top) * scale - top) / high;
      const share = ((event.clientX - box.left) * scale - left) / (right - left);
      const at = Math.round((first * 60 + share * (last - first) * 60) / data.step) * data.step;
      const most = near ? data.near_days - 1 : data.days.length - 1;
      choose(Math.min(Math.floor(near ? row : row * 7), most), share < 0 ? minute : at);
    });
    const steps = { ArrowDown: near ? 1 : 7, ArrowUp: near ? -1 : -7, PageDown: 28, PageUp: -28 };
    svg.addEventListener("keydown", (event) => {
      if (event.key === "Home") choose(0, minute);
      else if (event.key === "End") choose(data.days.length - 1, minute);
      else if (event.key === "ArrowLeft") choose(day, minute - data.step);
      else if (event.key === "ArrowRight") choose(day, minute + data.step);
      else if (event.key in steps) choose(day + steps[event.key], minute);
      else return;
      event.preventDefault();
    });
  }
  const pickable = (cell, pick, inside) => {
    if (!cell || !pick.length) return;
    const button = put(cell, "button", { type: "button", class: "pick",
      "aria-label": say("pick", { day: data.days[pick[1]][0] }) });
    button.append(inside);
    cell.prepend(button);
    button.addEventListener("click", () => choose(pick[1], pick[2], pick[0]));
  };
  const listed = document.querySelectorAll("#light table.windows tbody tr");
  data.picks.forEach((pick, number) => {
    const cell = listed[number] && listed[number].querySelector("th");
    if (cell) pickable(cell, pick, cell.firstChild);
  });
  for (const [anchor, picks] of Object.entries(data.own_picks))
    document.querySelectorAll(`#${CSS.escape(anchor)} ol.near > li`).forEach((item, number) =>
      pickable(item, picks[number] || [], item.firstElementChild));
  bar.hidden = false;
  choose(data.lead[1], data.lead[2], data.lead[0]);
  if (data.others && unpacks) unpack().catch(() => { unpacks = false; show(); });
})();
