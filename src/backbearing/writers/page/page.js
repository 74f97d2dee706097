"use strict";
// Draws the sliding map from the page's own JSON. Every text enters by textContent; every
// colour comes from the style sheet; sizes in pixels are kept by redrawing after a zoom.
document.documentElement.classList.add("live");
// where the map cannot be drawn, the drawing that stands in the page is shown again
window.addEventListener("error", () => document.documentElement.classList.remove("live"));

// What the page says: the English is the key, and stands where the page speaks no other language.
const said = (() => {
  const texts = JSON.parse(document.getElementById("return-data").textContent).texts;
  return (text, fields = {}) => (texts[text] ?? text).replace(/\{(\w+)\}/g,
    (all, name) => fields[name] ?? all);
})();

function drawReturn(map) {
  const data = JSON.parse(document.getElementById("return-data").textContent);
  const METRES_A_DEGREE = 111195, LEAST_CIRCLE = 10, MARK = 12;
  const STRIP = Math.min(110, map.getSize().x / 4.5);
  const readout = document.getElementById("readout");
  const frame = map.getContainer();
  const make = (tag, kind, text) => {
    const made = document.createElement(tag);
    if (kind) made.className = kind;
    if (text) made.textContent = text;
    return made;
  };
  const draw = (parent, tag, attributes, text) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    if (text) made.textContent = text;
    parent.appendChild(made);
    return made;
  };
  const pixels = (at, metres) => {
    const up = map.project([at[0] + metres / METRES_A_DEGREE, at[1]]);
    return Math.abs(map.project(at).y - up.y);
  };
  const from = (at, azimuth, length) => {
    const turn = (azimuth * Math.PI) / 180;
    return map.layerPointToLatLng(map.latLngToLayerPoint(at)
      .add([length * Math.sin(turn), -length * Math.cos(turn)]));
  };
  const say = (lines, anchor) => {
    readout.replaceChildren();
    lines.filter(Boolean).forEach((line, i) => {
      if (i) readout.appendChild(make("br"));
      readout.appendChild(make(i ? "bdi" : "b", "", line));
    });
    if (anchor) {
      const link = make("a", "", said("all about it"));
      link.href = "#" + anchor;
      readout.append(make("br"), link);
    }
  };

  const layers = {};
  for (const name of ["lines", "routes", "walks", "way-in", "errors", "suns", "cameras", "waypoints", "notes",
    "passages", "subjects"])
    layers[name] = L.layerGroup().addTo(map);
  const resized = []; // what is measured in pixels and must be redrawn after a zoom
  const names = []; // { at, texts, kind, layer, reach }

  const telling = (shape, lines, anchor) =>
    shape.on("click", (event) => {
      L.DomEvent.stop(event);
      say(lines, anchor);
    });
  const line = (layer, spots, kind, lines) => {
    if (!spots.length) return;
    const drawn = spots.length > 1 ? spots : [spots[0], spots[0]];
    L.polyline(drawn, { className: "casing", interactive: false, smoothFactor: 0 }).addTo(layer);
    telling(L.polyline(drawn, { className: kind, smoothFactor: 0 }), lines).addTo(layer);
  };
  const mark = (layer, at, kind, lines, anchor, zIndexOffset = 0) => {
    const icon = L.divIcon({ className: "mark " + kind, html: make("i"), iconSize: [48, 48] });
    const title = lines[0].slice(0, 80);
    telling(L.marker(at, { icon, title, alt: title, zIndexOffset }), lines, anchor).addTo(layer);
  };

  for (const each of data.lines)
    telling(L.polyline(each.line, { className: each.water ? "water" : "wall", smoothFactor: 0 }),
      each.says).addTo(layers.lines);
  for (const route of data.routes) line(layers.routes, route.line, "planned", route.says);
  for (const track of data.tracks)
    for (const piece of track.lines) line(layers.walks, piece, "walked", track.says);
  for (const piece of data.way_in) {
    const way = piece.walked ? "way-in" : "way-in new";
    for (const kind of [way, way + " hollow"])
      L.polyline(piece.line, { className: kind, interactive: false, smoothFactor: 0 })
        .addTo(layers["way-in"]);
  }
  for (const passage of data.passages) {
    const sign = make("i", passage.kind, passage.sign), title = passage.says.join(": ").slice(0, 80);
    const icon = L.divIcon({ className: "mark passage", html: sign, iconSize: [48, 48] });
    telling(L.marker(passage.at, { icon, title, alt: title }), passage.says).addTo(layers.passages);
    names.push({ at: passage.at, kind: "second", layer: "passages", reach: 10,
      texts: [`${passage.name}: ${passage.says[1]}`, passage.name] });
  }

  data.subjects.forEach((subject) => {
    const circle = L.circleMarker(subject.at, { className: "error", interactive: false });
    circle.addTo(layers.errors);
    const label = {
      at: subject.at, kind: "name", layer: "subjects", reach: MARK, texts: [],
    };
    names.push(label);
    resized.push(() => {
      const true_radius = pixels(subject.at, subject.error_m);
      circle.setRadius(Math.max(true_radius, LEAST_CIRCLE));
      const name = subject.gone ? said("{name} (gone)", subject) : subject.name;
      const small = " ± " + Math.ceil(subject.error_m) + " m";
      label.texts = [...(true_radius < LEAST_CIRCLE ? [name + small] : []), name, String(subject.number)];
    });
    for (const camera of subject.cameras) {
      L.polyline([camera.at, subject.at], { className: "sight", interactive: false })
        .addTo(layers.cameras);
      mark(layers.cameras, camera.at, "camera", camera.says, subject.anchor);
      names.push({ at: camera.at, kind: "second", layer: "cameras", reach: 9, near: subject.at,
        texts: [camera.name, said("camera")] });
    }
    if (subject.plate.length) {
      for (const className of ["plate-bar case", "plate-bar"])
        L.polyline(subject.plate, { className, interactive: false }).addTo(layers.cameras);
      names.push({ at: subject.plate[0], kind: "second", layer: "cameras", reach: 9, near: subject.at,
        texts: [subject.plate_says] });
    }
    mark(layers.subjects, subject.at, subject.gone ? "subject gone" : "subject", subject.says,
      subject.anchor, 10000);
  });
  for (const note of data.notes) {
    mark(layers.notes, note.at, "remark", note.says, note.anchor);
    names.push({ at: note.at, kind: "second", layer: "notes", reach: 8, texts: [note.name] });
  }
  for (const point of data.waypoints) {
    mark(layers.waypoints, point.at, "waypoint", point.says);
    if (point.name)
      names.push({ at: point.at, kind: "second", layer: "waypoints", reach: 7, texts: [point.name] });
  }

  // ------------------------------------------------------------ the strip to the sun
  // one at a time, of the subject looked at or the next one lit: more would hide the ground
  let lit = data.subjects[data.next];
  const strip = L.polygon([], { className: "sun", interactive: false }).addTo(layers.suns);
  const stripName = { at: [0, 0], kind: "light", layer: "suns", reach: 12, texts: [] };
  names.push(stripName);
  const tips = (part) => lit ? lit.sun_azimuths_deg.map((azimuth) =>
    from(lit.at, azimuth, part * STRIP)) : [];
  resized.push(() => {
    const ends = tips(1), azimuths = lit ? lit.sun_azimuths_deg : [];
    strip.setLatLngs(ends.length ? [lit.at, ...ends] : []);
    stripName.texts = ends.length ? [lit.sun] : [];
    if (ends.length)
      stripName.at = from(lit.at, (azimuths[0] + azimuths[azimuths.length - 1]) / 2,
        STRIP);
  });

  // ------------------------------------------------------------ names that cover nothing
  const lines = [...data.tracks.flatMap((track) => track.lines), ...data.routes.map((r) => r.line)];
  const sheet = make("div", "names");
  map.getPanes().markerPane.parentNode.appendChild(sheet);
  const order = { name: 0, light: 1, second: 2 };
  names.sort((one, other) => order[one.kind] - order[other.kind]);
  // measured once for texts of one shape: asking for it again would lay the whole page out anew
  const sizes = new Map();
  const sizeOf = (tag, kind, text) => {
    const key = kind + text.replace(/\d/g, "0");
    if (!sizes.has(key)) {
      tag.textContent = text;
      sizes.set(key, [tag.offsetWidth, tag.offsetHeight]);
    }
    return sizes.get(key);
  };
  let written = []; // where names stand: the grid's figures give way to them
  let scaleWide = 0;
  const setNames = () => {
    sheet.replaceChildren();
    const shown = names.filter((name) => map.hasLayer(layers[name.layer]));
    const taken = shown.filter((name) => name.kind !== "light").map((name) => {
      const p = map.latLngToLayerPoint(name.at);
      const r = name.kind === "name" ? 7 : 4;
      return [p.x - r, p.y - r, p.x + r, p.y + r];
    });
    const needed = taken.slice(0, shown.filter((name) => name.kind === "name").length);
    const marks = [...needed];
    const corner = map.containerPointToLayerPoint([0, 0]), size = map.getSize();
    // north and the scale stand in the upper corners
    for (const [x0, x1] of [[0, 42], [size.x - scaleWide, size.x]]) {
      const box = [corner.x + x0, corner.y, corner.x + x1, corner.y + 42];
      taken.push(box);
      needed.push(box);
    }
    // names keep off the strips where they can, off marks and other names always
    const soft = map.hasLayer(layers.suns) ? [0.2, 0.45, 0.7, 0.9].flatMap(tips).map((at) => {
      const { x, y } = map.latLngToLayerPoint(at);
      return [x - 5, y - 5, x + 5, y + 5];
    }) : [];
    const inView = ([x0, y0, x1, y1]) => x0 >= corner.x + 2 && y0 >= corner.y + 2 &&
      x1 <= corner.x + size.x - 2 && y1 <= corner.y + size.y - 2;
    // and off the ways, met every dozen pixels
    const ways = [];
    for (const way of map.hasLayer(layers.walks) ? lines : []) {
      let last = null;
      for (const at of way) {
        const p = map.latLngToLayerPoint(at);
        const steps = last ? Math.ceil(p.distanceTo(last) / 12) : 1;
        for (let i = 1; i <= Math.min(steps, 400); i++) {
          const x = last ? last.x + ((p.x - last.x) * i) / steps : p.x;
          const y = last ? last.y + ((p.y - last.y) * i) / steps : p.y;
          if (inView([x, y, x, y])) ways.push([x - 3, y - 3, x + 3, y + 3]);
        }
        last = p;
      }
    }
    const crossed = (box, those) =>
      those.some((t) => box[0] < t[2] && box[2] > t[0] && box[1] < t[3] && box[3] > t[1]);
    written = [];
    for (const name of shown) {
      const p = map.latLngToLayerPoint(name.at);
      // nor so near another's mark that it would be read as that one's name
      const others = marks.filter(([x, y]) => Math.hypot(x + 7 - p.x, y + 7 - p.y) > 1)
        .map(([x0, y0, x1, y1]) => [x0 - 12, y0 - 6, x1 + 12, y1 + 6]);
      if (name.near && p.distanceTo(map.latLngToLayerPoint(name.near)) < 16) continue;
      const tag = make("bdi", name.kind);
      sheet.appendChild(tag);
      const spots = name.texts.flatMap((text) => {
        const [w, h] = sizeOf(tag, name.kind, text), r = name.reach;
        return [[p.x + r, p.y - h / 2], [p.x - r - w, p.y - h / 2],
          [p.x - w / 2, p.y + r], [p.x - w / 2, p.y - r - h]]
          .map(([x, y]) => ({ text, x, y, box: [x, y, x + w, y + h] }));
      });
      const near = inView([p.x, p.y, p.x, p.y]);
      const fitting = (those, kept) => those.find((each) =>
        kept.every((boxes) => !crossed(each.box, boxes)) && (!near || inView(each.box)));
      const free = (...kept) => fitting(spots, kept);
      const words = spots.filter((each) => isNaN(each.text));
      const spot = fitting(words, [taken, soft, ways, others]) || fitting(words, [taken, soft, others]) ||
        fitting(words, [taken, others]) ||
        free(taken, soft) || (name.kind === "name" ? free(taken) || free(needed) : null);
      if (!spot) { tag.remove(); continue; }
      tag.textContent = spot.text;
      taken.push(spot.box);
      needed.push(spot.box);
      written.push(spot.box);
      L.DomUtil.setPosition(tag, L.point(spot.x, spot.y));
    }
    // the grid's figures stand at the left and the lower edge
    const open = ([x0, , , y1]) => x0 > corner.x + 74 && y1 < corner.y + size.y - 24;
    setHeights((box) => inView(box) && open(box) && !crossed(box, [...taken, ...soft, ...ways]));
    setFrame();
  };
  // the heights of the heavier contours, where nothing else is written, well apart
  const setHeights = (free) => {
    if (!data.ground || uses.relief.hasAttribute("display")) return;
    const { north_west, south_east, columns, rows, heights } = data.ground;
    const start = map.latLngToLayerPoint(north_west), end = map.latLngToLayerPoint(south_east);
    const written = [];
    for (const [column, row, text] of heights) {
      const x = start.x + ((end.x - start.x) * column) / columns;
      const y = start.y + ((end.y - start.y) * row) / rows;
      const half = 3.5 * text.length;
      if (!free([x - half, y - 7, x + half, y + 7])) continue;
      if (written.some((at) => Math.abs(at[0] - x) + Math.abs(at[1] - y) < 130)) continue;
      written.push([x, y]);
      const tag = make("bdi", "height", text);
      sheet.appendChild(tag);
      L.DomUtil.setPosition(tag, L.point(x - half, y - 7));
    }
  };

  // ------------------------------------------------------------ the ground under it all
  // laid by reference to the page's hidden drawing; it goes along with the map while that is
  // dragged, twice as wide as what is seen, and is laid anew when the map comes to rest
  const ground = draw(frame, "svg", { class: "ground", "aria-hidden": "true" });
  const uses = {};
  let laidAt = L.point(0, 0);
  const carry = () => L.DomUtil.setPosition(ground,
    map.containerPointToLayerPoint([0, 0]).multiplyBy(-1).add(laidAt));
  const layGround = () => {
    if (!data.ground) return;
    const size = map.getSize(), half = size.divideBy(2);
    const corner = map.latLngToContainerPoint(data.ground.north_west).add(half);
    const end = map.latLngToContainerPoint(data.ground.south_east).add(half);
    const wide = (end.x - corner.x) / data.ground.columns;
    const high = (end.y - corner.y) / data.ground.rows;
    ground.setAttribute("width", 2 * size.x);
    ground.setAttribute("height", 2 * size.y);
    for (const use of Object.values(uses))
      use.setAttribute("transform", `matrix(${wide} 0 0 ${high} ${corner.x} ${corner.y})`);
    laidAt = map.containerPointToLayerPoint([0, 0]).subtract(half);
    carry();
  };
  if (data.ground) {
    uses.relief = draw(ground, "use", { href: "#ground-relief" });
    if (data.ground.shades.length)
      uses.shade = draw(ground, "use", { href: "#shade-" + data.ground.shown });
    const moment = document.getElementById("moment");
    if (moment)
      moment.addEventListener("change", () => {
        const { day, minute } = data.ground.shades[moment.value];
        shadeAt(Number(moment.value));
        document.dispatchEvent(new CustomEvent("choose",
          { detail: { iso: day, minute, shade: Number(moment.value) } }));
      });
  }
  // the shade of one of its moments, or none and why
  const shadeAt = (number, why = "", none = "") => {
    const shade = data.ground.shades[number], says = document.getElementById("shade-says");
    if (shade) uses.shade.setAttribute("href", "#" + shade.id);
    else uses.shade.removeAttribute("href");
    if (shade) document.getElementById("moment").value = number;
    says.textContent = shade ? shade.says : none;
    says.nextElementSibling.hidden = !shade;
    document.getElementById("shade-why").textContent = shade ? "" : why;
  };
  const onGround = (name) => ({
    addTo: () => uses[name].removeAttribute("display"),
    remove: () => uses[name].setAttribute("display", "none"),
  });

  // ------------------------------------------------------------ grid, scale and north
  const grid = draw(frame, "svg", { class: "under", "aria-hidden": "true" });
  const edge = draw(frame, "svg", { class: "over", "aria-hidden": "true" });
  const roundStep = (least) => {
    const power = 10 ** Math.floor(Math.log10(least));
    return [1, 2, 5, 10].map((n) => n * power).find((step) => step >= least * 0.999);
  };
  const degrees = (value, step, signs) => {
    const decimals = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
    const text = Math.abs(value).toFixed(decimals) + "°";
    return [0, 180].includes(Number(Math.abs(value).toFixed(decimals)))
      ? text : text + " " + signs[value < 0 ? 1 : 0];
  };
  const metres = (length) =>
    length < 1000
      ? length + " m"
      : (length / 1000).toFixed(length < 9950 ? 1 : 0).replace(".0", "")
        .replace(".", said("1.5").replace(/\d/g, "")) + " km";
  const setFrame = () => {
    grid.replaceChildren();
    edge.replaceChildren();
    const off = map.containerPointToLayerPoint([0, 0]);
    const figure = (x, y, text) => {
      const x0 = x + off.x - 2, y0 = y + off.y, x1 = x0 + 8.5 * text.length + 4;
      if (!written.some((t) => x0 < t[2] && x1 > t[0] && y0 - 15 < t[3] && y0 + 5 > t[1]))
        draw(edge, "text", { class: "figure", x, y }, text);
    };
    const { x: wide, y: high } = map.getSize();
    const bounds = map.getBounds();
    const west = bounds.getWest(), east = bounds.getEast();
    const south = bounds.getSouth(), north = bounds.getNorth();
    let step = roundStep(((north - south) * 100) / high);
    for (let i = Math.ceil(south / step); i * step <= north; i++) {
      const y = map.latLngToContainerPoint([i * step, west]).y;
      draw(grid, "path", { class: "grid", d: `M0 ${y}H${wide}` });
      if (y > 60 && y < high - 24)
        figure(4, y - 3, degrees(i * step, step, "NS"));
    }
    step = roundStep(((east - west) * 110) / wide);
    for (let i = Math.ceil(west / step); i * step <= east; i++) {
      const x = map.latLngToContainerPoint([south, i * step]).x;
      const turned = ((((i * step + 180) % 360) + 360) % 360) - 180;
      draw(grid, "path", { class: "grid", d: `M${x} 0V${high}` });
      if (x < wide - 70)
        figure(x + 3, high - 5, degrees(turned, step, "EW"));
    }
    const middle = map.getCenter();
    const a_pixel = 1 / pixels([middle.lat, middle.lng], 1);
    const length = roundStep(wide * 0.12 * a_pixel);
    const long = length / a_pixel, x = wide - long - 14;
    scaleWide = Math.max(long, 56) + 20;
    draw(edge, "rect", { class: "scale", x, y: 14, width: long / 2, height: 5 });
    draw(edge, "rect", { class: "scale hollow", x: x + long / 2, y: 14, width: long / 2, height: 5 });
    draw(edge, "text", { class: "name", x: wide - 14, y: 36, "text-anchor": "end" }, metres(length));
    draw(edge, "path", { class: "north", d: "M14 36V12M9.5 17.5L14 11L18.5 17.5" });
    draw(edge, "text", { class: "name", x: 23, y: 24 }, "N");
  };

  // ------------------------------------------------------------ reading a place
  const wrapped = (longitude) => ((((longitude + 180) % 360) + 360) % 360) - 180;
  const sixty = (value, signs) => {
    const tenths = Math.round(Math.abs(value) * 36000);
    const minutes = Math.floor(tenths / 600), tenth = tenths % 600;
    const two = (number) => String(number).padStart(2, "0");
    return `${Math.floor(minutes / 60)}°${two(minutes % 60)}'` +
      `${two(Math.floor(tenth / 10))}.${tenth % 10}"${signs[value < 0 ? 1 : 0]}`;
  };
  const fromNearest = (place) => {
    const radians = Math.PI / 180;
    let best = null;
    for (const subject of data.subjects) {
      const away = map.distance(subject.at, place);
      if (best && best.away <= away) continue;
      const [a, b] = [subject.at[0] * radians, place.lat * radians];
      const turn = (place.lng - subject.at[1]) * radians;
      const azimuth = Math.atan2(Math.sin(turn) * Math.cos(b),
        Math.cos(a) * Math.sin(b) - Math.sin(a) * Math.cos(b) * Math.cos(turn)) / radians;
      best = { away, azimuth: (Math.round(azimuth) + 360) % 360, name: subject.name };
    }
    if (!best) return "";
    const bearing = String(best.azimuth).padStart(3, "0");
    return said("{distance} at {bearing}° true from {name}",
      { distance: metres(Math.round(best.away)), bearing, name: best.name });
  };
  const cross = L.marker([0, 0], {
    icon: L.divIcon({ className: "mark cross", html: make("i"), iconSize: [24, 24] }),
    interactive: false, keyboard: false,
  });
  map.on("click", ({ latlng }) => {
    const longitude = wrapped(latlng.lng);
    cross.setLatLng(latlng).addTo(map);
    say([
      `${latlng.lat.toFixed(6)}, ${longitude.toFixed(6)}`,
      `${sixty(latlng.lat, "NS")} ${sixty(longitude, "EW")}`,
      ...gridTexts(latlng.lat, longitude),
      fromNearest(latlng),
    ]);
  });

  // ------------------------------------------------------------ views, layers, base map
  const redraw = () => {
    resized.forEach((each) => each());
    setNames();
  };
  const show = (which) => {
    const subject = data.subjects[which];
    lit = subject || data.subjects[data.next];
    const circle = (each) => L.latLng(each.at).toBounds(2.3 * each.error_m);
    const box = subject
      ? subject.cameras.reduce((round, camera) => round.extend(camera.at), circle(subject))
      : L.latLngBounds(which === "home" ? data.home : data.fit);
    // how far a place may be off is in sight too
    if (which === "home" && lit) box.extend(circle(lit));
    if (which === "") for (const each of data.subjects) box.extend(circle(each));
    // once for the ground, once more with the strips that have their length in pixels
    const fit = () => map.fitBounds(box, { padding: [40, 40], maxZoom: subject ? 20 : 17 });
    fit();
    for (const tip of tips(1)) box.extend(tip);
    fit();
    redraw();
  };
  document.addEventListener("chosen", ({ detail }) => {
    const { number, azimuth, label, shade, why, none } = detail;
    lit = data.subjects[number];
    lit.sun_azimuths_deg = azimuth === null ? [] : [azimuth - 3, azimuth + 3];
    lit.sun = label;
    if (shade !== undefined) shadeAt(shade, why, none);
    redraw();
  });
  const view = document.getElementById("view");
  view.addEventListener("change", () => show(view.value));
  document.getElementById("closer").addEventListener("click", () => map.zoomIn());
  document.getElementById("wider").addEventListener("click", () => map.zoomOut());
  for (const box of document.querySelectorAll("[data-layer]")) {
    box.disabled = false;
    box.addEventListener("change", () => {
      const layer = layers[box.dataset.layer] || onGround(box.dataset.layer);
      if (box.checked) layer.addTo(map);
      else layer.remove();
      setNames();
    });
  }
  const base = document.getElementById("base-map");
  if (base && data.base_map) {
    const tiles = L.tileLayer(data.base_map.url, { referrerPolicy: "no-referrer", maxZoom: 21 });
    tiles.on("tileerror", () => say([said("The base map does not answer; the rest of the map stands.")]));
    base.disabled = false;
    base.addEventListener("change", () => {
      if (base.checked) tiles.addTo(map);
      else tiles.remove();
    });
  }

  map.setMinZoom(1).setMaxZoom(21);
  show(view.value);
  map.on("zoomend", redraw);
  map.on("moveend", setNames);
  map.on("move zoomend resize", setFrame);
  map.on("move", carry);
  map.on("moveend zoomend resize", layGround);
  layGround();
  setFrame();
}
