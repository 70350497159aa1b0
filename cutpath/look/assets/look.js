"use strict";
// One page, one scene: a still drawing below, what moves (head, done lines, measure) above it.
const scene = JSON.parse(document.getElementById("scene").textContent);
const byId = (id) => document.getElementById(id);
const still = byId("still"), moving = byId("moving"), stage = byId("stage"), tip = byId("tip");
const DASHES = { net: [6, 4], pen: [1.5, 3], travel: [2, 5], hot: [9, 3, 2, 3], frame: [], cut: [], mark: [], knife: [], drill: [] };
const WEIGHTS = { net: 1, cut: 1.8, mark: 1.4, pen: 1.3, knife: 1.8, drill: 2.2, hot: 2.2, travel: 0.8, frame: 1 };
const REACH = 9; // pixels within which pointing means a line

function unpacked(text, Kind) {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  return new Kind(bytes.buffer);
}

for (const view of scene.views) {
  for (const layer of view.layers) {
    layer.counts = unpacked(layer.counts, Uint32Array);
    layer.points = unpacked(layer.points, Float32Array);
    layer.path = null;
  }
  const line = view.timeline;
  if (line) {
    line.points = unpacked(line.points, Float32Array);
    line.seconds = unpacked(line.seconds, Float32Array);
    line.down = unpacked(line.down, Uint8Array);
    line.tool = unpacked(line.tool, Uint8Array);
    line.stroke = unpacked(line.stroke, Int32Array);
  }
}

let view = scene.views[0];
let place = { x: 0, y: 0, scale: 1 };   // what lies at the canvas's middle, pixels a mm
let grid = null;                          // where lines are, for pointing
let measuring = false, measured = [];
let now = 0, playing = false, lastFrame = 0;
let shade = {};

function shades() {
  const found = getComputedStyle(document.documentElement);
  shade = {};
  for (const name of ["net", "cut", "mark", "pen", "knife", "drill", "hot", "travel", "frame", "done", "head", "ink", "paper"]) {
    shade[name] = found.getPropertyValue("--" + name).trim();
  }
}

function bounds(of, everything = false) {
  let box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const layer of of.layers) {
    if (!layer.on && !everything) continue;
    for (let i = 0; i < layer.points.length; i += 2) {
      box[0] = Math.min(box[0], layer.points[i]); box[2] = Math.max(box[2], layer.points[i]);
      box[1] = Math.min(box[1], layer.points[i + 1]); box[3] = Math.max(box[3], layer.points[i + 1]);
    }
  }
  return box[0] <= box[2] ? box : [0, 0, 1, 1];
}

function sizeCanvases() {
  const ratio = window.devicePixelRatio || 1, box = stage.getBoundingClientRect();
  for (const canvas of [still, moving]) {
    canvas.width = Math.max(1, Math.round(box.width * ratio));
    canvas.height = Math.max(1, Math.round(box.height * ratio));
  }
}

function fit() {
  const box = bounds(view), size = stage.getBoundingClientRect();
  place.x = (box[0] + box[2]) / 2;
  place.y = (box[1] + box[3]) / 2;
  place.scale = Math.min((size.width - 40) / Math.max(box[2] - box[0], 1), (size.height - 60) / Math.max(box[3] - box[1], 1));
  draw();
}

function toScreen(x, y) {
  const size = stage.getBoundingClientRect();
  return [size.width / 2 + (x - place.x) * place.scale, size.height / 2 - (y - place.y) * place.scale];
}

function toDrawing(px, py) {
  const size = stage.getBoundingClientRect();
  return [place.x + (px - size.width / 2) / place.scale, place.y - (py - size.height / 2) / place.scale];
}

function transformOf(context) {
  const ratio = window.devicePixelRatio || 1, size = stage.getBoundingClientRect(), scale = place.scale * ratio;
  context.setTransform(scale, 0, 0, -scale, ratio * size.width / 2 - scale * place.x, ratio * size.height / 2 + scale * place.y);
  return scale;
}

// Points nearer than ``close`` mm to the last one drawn say nothing on the screen; what was thinned
// for one size does until the size has halved or doubled.
function pathOf(layer, close) {
  const known = layer.path;
  if (known && close < 2 * known.close && close > known.close / 2) return known.path;
  const path = new Path2D(), p = layer.points;
  let at = 0;
  for (const count of layer.counts) {
    let x = p[2 * at], y = p[2 * at + 1];
    path.moveTo(x, y);
    if (count === 1) path.lineTo(x + 0.001, y);
    for (let i = 1; i < count; i++) {
      const nx = p[2 * (at + i)], ny = p[2 * (at + i) + 1];
      if (i < count - 1 && Math.abs(nx - x) < close && Math.abs(ny - y) < close) continue;
      path.lineTo(nx, ny);
      x = nx; y = ny;
    }
    at += count;
  }
  layer.path = { path, close };
  return path;
}

// A drawing that takes long is moved as a picture while one moves about, and drawn when one rests.
const SLOW = 24, REST = 140; // ms
const shot = document.createElement("canvas");
let drawWaiting = false, tookLast = 0, shotPlace = null, restTimer = 0;

function draw() {
  if (drawWaiting) return;
  drawWaiting = true;
  requestAnimationFrame(() => {
    drawWaiting = false;
    clearTimeout(restTimer);
    if (tookLast < SLOW || !shotPlace) { drawNow(); return; }
    drawShot();
    restTimer = setTimeout(drawNow, REST);
  });
}

// What is shown has changed, not only where from: an old picture of it would be wrong.
function drawAnew() { shotPlace = null; draw(); }

function drawShot() {
  const context = still.getContext("2d"), ratio = window.devicePixelRatio || 1;
  const factor = place.scale / shotPlace.scale, size = stage.getBoundingClientRect();
  const x = size.width / 2 - factor * size.width / 2 + (shotPlace.x - place.x) * place.scale;
  const y = size.height / 2 - factor * size.height / 2 - (shotPlace.y - place.y) * place.scale;
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.fillStyle = shade.paper;
  context.fillRect(0, 0, still.width, still.height);
  context.drawImage(shot, x * ratio, y * ratio, shot.width * factor, shot.height * factor);
  drawBar();
  moving.style.visibility = "hidden";
  placeHead();
}

function drawNow() {
  const begun = performance.now();
  drawAll();
  shot.width = still.width; shot.height = still.height;
  shot.getContext("2d").drawImage(still, 0, 0);
  still.getContext("2d").getImageData(0, 0, 1, 1); // wait for it, so that what it takes is known
  shotPlace = { ...place };
  tookLast = performance.now() - begun;
}

function drawAll() {
  moving.style.visibility = "visible";
  const context = still.getContext("2d");
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.fillStyle = shade.paper;
  context.fillRect(0, 0, still.width, still.height);
  const scale = transformOf(context), ratio = window.devicePixelRatio || 1;
  context.lineCap = "butt"; context.lineJoin = "bevel";
  for (const layer of view.layers) {
    if (!layer.on) continue;
    const pixel = ratio / scale;
    context.strokeStyle = shade[layer.style];
    context.lineWidth = WEIGHTS[layer.style] * pixel;
    context.setLineDash(DASHES[layer.style].map((part) => part * pixel));
    context.stroke(pathOf(layer, 0.6 / place.scale));
  }
  context.setLineDash([]);
  drawNames(context, ratio);
  drawBar();
  drawMoving(true);
}

function drawNames(context, ratio) {
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.textAlign = "center"; context.textBaseline = "middle"; context.lineWidth = 1.4;
  for (const [text, x, y, ringed] of view.names) {
    const [px, py] = toScreen(x, y);
    context.font = ringed ? "600 13px system-ui, sans-serif" : "500 14px system-ui, sans-serif";
    const wide = context.measureText(text).width / 2 + 5;
    if (ringed) {
      context.beginPath(); context.roundRect(px - Math.max(10, wide), py - 10, 2 * Math.max(10, wide), 20, 10);
      context.fillStyle = shade.paper; context.fill(); context.strokeStyle = shade.ink; context.stroke();
    }
    context.fillStyle = shade.ink;
    context.fillText(text, px, py + 0.5);
  }
  context.textAlign = "start"; context.textBaseline = "alphabetic";
}

function drawBar() {
  const wanted = 110 / place.scale;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const step = [5, 2, 1].map((k) => k * power).find((value) => value <= wanted) || power;
  byId("bar").firstElementChild.style.width = step * place.scale + "px";
  byId("bar").lastElementChild.textContent = step >= 1000 ? step / 1000 + " m" : +step.toPrecision(3) + " mm";
}

// What is done is drawn on, a little each frame; only a jump back or a new look draws it all again.
let doneTo = 0;
function drawMoving(all) {
  const context = moving.getContext("2d"), line = view.timeline;
  const overlay = measured.length > 0;
  if (all || overlay || !line || indexAt(now) < doneTo) {
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, moving.width, moving.height);
    doneTo = 0;
  }
  if (line && now > 0) drawDone(context, line);
  if (overlay) drawMeasure(context);
  placeHead();
}

function drawDone(context, line) {
  const scale = transformOf(context), ratio = window.devicePixelRatio || 1, upTo = indexAt(now), p = line.points;
  context.beginPath();
  for (let i = Math.max(1, doneTo); i <= upTo; i++) {
    if (!line.down[i] || !line.down[i - 1] || line.stroke[i] !== line.stroke[i - 1]) continue;
    context.moveTo(p[2 * i - 2], p[2 * i - 1]);
    context.lineTo(p[2 * i], p[2 * i + 1]);
  }
  context.strokeStyle = shade.done;
  context.lineWidth = 3 * ratio / scale;
  context.lineCap = "round";
  context.stroke();
  doneTo = upTo;
}

function indexAt(seconds) {
  const line = view.timeline;
  if (!line) return 0;
  let low = 0, high = line.seconds.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (line.seconds[middle] <= seconds) low = middle; else high = middle - 1;
  }
  return low;
}

function headAt(seconds) {
  const line = view.timeline, i = indexAt(seconds), j = Math.min(i + 1, line.seconds.length - 1);
  const span = line.seconds[j] - line.seconds[i];
  const share = span > 0 ? Math.min(1, (seconds - line.seconds[i]) / span) : 0;
  const p = line.points;
  return { x: p[2 * i] + share * (p[2 * j] - p[2 * i]), y: p[2 * i + 1] + share * (p[2 * j + 1] - p[2 * i + 1]), next: j };
}

const headMark = document.createElement("div");
headMark.id = "head";
headMark.setAttribute("aria-hidden", "true");
headMark.style.cssText = "position:absolute;width:18px;height:18px;margin:-9px 0 0 -9px;border:2px solid var(--head);border-radius:50%;pointer-events:none;background:radial-gradient(circle,var(--head) 0 2px,transparent 3px)";
stage.append(headMark);

function placeHead() {
  headMark.hidden = !view.timeline;
  if (!view.timeline) return;
  const head = headAt(now), [px, py] = toScreen(head.x, head.y);
  headMark.style.transform = `translate(${px}px, ${py}px)`;
  headMark.dataset.x = head.x.toFixed(3);
  headMark.dataset.y = head.y.toFixed(3);
}

// --- time -------------------------------------------------------------------------------------
function clockWords(seconds) {
  const whole = Math.round(seconds), rest = whole % 60;
  return Math.floor(whole / 60) + ":" + String(rest).padStart(2, "0");
}

function showTime() {
  const line = view.timeline, total = line.seconds[line.seconds.length - 1], head = headAt(now), tool = line.tools[line.tool[head.next]] || "";
  byId("time").value = now;
  byId("clock").textContent = `${clockWords(now)} of ${clockWords(total)}, ${clockWords(total - now)} left`;
  const stroke = line.stroke[head.next];
  byId("doing").textContent = now >= total - 1e-3 ? "done" : line.down[head.next] ? `${tool}, stroke ${stroke + 1} of ${line.strokes.length}` : `travel (${tool})`;
  byId("time").setAttribute("aria-valuetext", byId("clock").textContent);
}

function setTime(seconds) {
  const line = view.timeline;
  now = Math.max(0, Math.min(seconds, line.seconds[line.seconds.length - 1]));
  showTime();
  drawMoving(false);
}

function setPlaying(on) {
  playing = on && !!view.timeline;
  byId("play").textContent = playing ? "Pause" : "Play";
  if (playing) {
    const line = view.timeline;
    if (now >= line.seconds[line.seconds.length - 1]) now = 0;
    lastFrame = performance.now();
    requestAnimationFrame(frame);
  }
}

function frame(time) {
  if (!playing) return;
  const passed = Math.min(0.25, (time - lastFrame) / 1000);
  lastFrame = time;
  setTime(now + passed * Number(byId("speed").value));
  const line = view.timeline;
  if (now >= line.seconds[line.seconds.length - 1]) setPlaying(false);
  else requestAnimationFrame(frame);
}

// --- pointing and measuring ----------------------------------------------------------------------
function buildGrid() {
  const box = bounds(view, true), cell = Math.max((box[2] - box[0]), (box[3] - box[1]), 1) / 120;
  grid = { box, cell, cells: new Map() };
  view.layers.forEach((layer, l) => {
    let at = 0;
    layer.counts.forEach((count, item) => {
      for (let i = 0; i < Math.max(count - 1, 1); i++) {
        const a = 2 * (at + i), b = 2 * (at + Math.min(i + 1, count - 1)), p = layer.points;
        const x0 = Math.floor((Math.min(p[a], p[b]) - box[0]) / cell), x1 = Math.floor((Math.max(p[a], p[b]) - box[0]) / cell);
        const y0 = Math.floor((Math.min(p[a + 1], p[b + 1]) - box[1]) / cell), y1 = Math.floor((Math.max(p[a + 1], p[b + 1]) - box[1]) / cell);
        for (let x = x0; x <= x1; x++) for (let y = y0; y <= y1; y++) {
          const key = x * 4096 + y;
          let list = grid.cells.get(key);
          if (!list) grid.cells.set(key, (list = []));
          list.push(l, item, a, b);
        }
      }
      at += count;
    });
  });
}

function nearestLine(x, y, reach) {
  if (!grid) buildGrid();
  const { box, cell, cells } = grid, best = { gap: reach, found: false };
  const x0 = Math.floor((x - reach - box[0]) / cell), x1 = Math.floor((x + reach - box[0]) / cell);
  const y0 = Math.floor((y - reach - box[1]) / cell), y1 = Math.floor((y + reach - box[1]) / cell);
  if ((x1 - x0) * (y1 - y0) > 4000) return best;
  for (let cx = x0; cx <= x1; cx++) for (let cy = y0; cy <= y1; cy++) {
    const list = cells.get(cx * 4096 + cy);
    if (!list) continue;
    for (let k = 0; k < list.length; k += 4) {
      const layer = view.layers[list[k]];
      if (!layer.on) continue;
      const p = layer.points, ax = p[list[k + 2]], ay = p[list[k + 2] + 1], bx = p[list[k + 3]], by = p[list[k + 3] + 1];
      const dx = bx - ax, dy = by - ay, square = dx * dx + dy * dy;
      const t = square > 0 ? Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / square)) : 0;
      const gap = Math.hypot(x - ax - t * dx, y - ay - t * dy);
      if (gap < best.gap) Object.assign(best, { gap, found: true, layer, item: list[k + 1], ends: [[ax, ay], [bx, by]], at: [ax + t * dx, ay + t * dy] });
    }
  }
  return best;
}

function snapped(px, py) {
  const [x, y] = toDrawing(px, py), reach = REACH / place.scale, line = nearestLine(x, y, reach);
  if (!line.found) return [x, y];
  for (const end of line.ends) if (Math.hypot(end[0] - x, end[1] - y) <= reach) return end;
  return line.at;
}

function pointAt(px, py) {
  const [x, y] = toDrawing(px, py), line = nearestLine(x, y, REACH / place.scale);
  tip.hidden = !line.found;
  if (!line.found) return;
  const words = `${line.layer.words[line.item] || line.layer.name}\n${x.toFixed(1)}, ${y.toFixed(1)} mm`;
  tip.textContent = words;
  const room = stage.getBoundingClientRect(), wide = tip.offsetWidth, tall = tip.offsetHeight;
  tip.style.left = Math.min(px + 14, room.width - wide - 6) + "px";
  tip.style.top = Math.max(4, py - tall - 12) + "px";
}

function measuredWords() {
  const [a, b] = measured, dx = b[0] - a[0], dy = b[1] - a[1];
  return `${Math.hypot(dx, dy).toFixed(2)} mm (across ${Math.abs(dx).toFixed(2)}, up ${Math.abs(dy).toFixed(2)})`;
}

function drawMeasure(context) {
  const ratio = window.devicePixelRatio || 1;
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  context.strokeStyle = context.fillStyle = shade.head;
  context.lineWidth = 1.5;
  const ends = measured.map((end) => toScreen(end[0], end[1]));
  for (const [x, y] of ends) { context.beginPath(); context.moveTo(x - 6, y); context.lineTo(x + 6, y); context.moveTo(x, y - 6); context.lineTo(x, y + 6); context.stroke(); }
  if (ends.length < 2) return;
  context.beginPath(); context.moveTo(...ends[0]); context.lineTo(...ends[1]); context.stroke();
  const text = measuredWords(), x = (ends[0][0] + ends[1][0]) / 2, y = (ends[0][1] + ends[1][1]) / 2 - 8;
  context.font = "600 14px system-ui, sans-serif";
  const wide = context.measureText(text).width;
  context.fillStyle = shade.paper; context.fillRect(x - wide / 2 - 4, y - 15, wide + 8, 20);
  context.fillStyle = shade.ink; context.textAlign = "center"; context.fillText(text, x, y);
}

function measureAt(px, py) {
  if (measured.length === 2) measured = [];
  measured.push(snapped(px, py));
  say(measured.length === 2 ? measuredWords() : "First place taken; choose the second.");
  drawMoving(true);
}

function setMeasuring(on) {
  measuring = on;
  measured = [];
  byId("measure").setAttribute("aria-pressed", String(on));
  still.classList.toggle("measuring", on);
  say(on ? "Choose two places." : "");
  drawMoving(true);
}

function say(words) { byId("status").textContent = words; }

// --- moving about --------------------------------------------------------------------------------
function zoom(factor, px, py) {
  const [x, y] = toDrawing(px, py);
  place.scale = Math.max(0.005, Math.min(place.scale * factor, 2000));
  const [nx, ny] = toDrawing(px, py);
  place.x += x - nx; place.y += y - ny;
  draw();
}

function zoomMiddle(factor) { const box = stage.getBoundingClientRect(); zoom(factor, box.width / 2, box.height / 2); }
function shift(dx, dy) { place.x += dx / place.scale; place.y += dy / place.scale; draw(); }

function goTo(spot) {
  place.x = spot.at[0]; place.y = spot.at[1];
  place.scale = Math.max(place.scale, 4);
  say(spot.name + ": " + spot.words);
  draw();
}

let drag = null;
still.addEventListener("pointerdown", (event) => {
  still.setPointerCapture(event.pointerId);
  drag = { x: event.offsetX, y: event.offsetY, moved: 0 };
});
still.addEventListener("pointermove", (event) => {
  if (!drag) { pointAt(event.offsetX, event.offsetY); return; }
  const dx = event.offsetX - drag.x, dy = event.offsetY - drag.y;
  drag.moved += Math.abs(dx) + Math.abs(dy);
  if (drag.moved > 3) { still.classList.add("dragging"); tip.hidden = true; shift(-dx, dy); }
  drag.x = event.offsetX; drag.y = event.offsetY;
});
still.addEventListener("pointerup", (event) => {
  if (drag && drag.moved <= 3 && measuring) measureAt(event.offsetX, event.offsetY);
  drag = null; still.classList.remove("dragging");
});
still.addEventListener("pointerleave", () => { tip.hidden = true; });
still.addEventListener("wheel", (event) => {
  event.preventDefault();
  zoom(Math.exp(-event.deltaY * 0.0015), event.offsetX, event.offsetY);
}, { passive: false });

const KEYS = {
  "+": () => zoomMiddle(1.3), "=": () => zoomMiddle(1.3), "-": () => zoomMiddle(1 / 1.3), "0": fit,
  ArrowLeft: () => shift(-60, 0), ArrowRight: () => shift(60, 0), ArrowUp: () => shift(0, 60), ArrowDown: () => shift(0, -60),
  m: () => setMeasuring(!measuring), " ": () => setPlaying(!playing), Escape: () => setMeasuring(false),
};
document.addEventListener("keydown", (event) => {
  const inControl = /^(INPUT|SELECT|BUTTON)$/.test(event.target.tagName);
  if (event.ctrlKey || event.metaKey || event.altKey || (inControl && event.key !== "Escape")) return;
  const act = KEYS[event.key];
  if (act) { event.preventDefault(); act(); }
});
byId("fit").onclick = fit;
byId("nearer").onclick = () => zoomMiddle(1.4);
byId("farther").onclick = () => zoomMiddle(1 / 1.4);
byId("measure").onclick = () => setMeasuring(!measuring);
byId("play").onclick = () => setPlaying(!playing);
byId("time").oninput = (event) => { setPlaying(false); setTime(Number(event.target.value)); };

// --- the side -------------------------------------------------------------------------------------
function element(name, words, parent) {
  const made = document.createElement(name);
  if (words !== undefined) made.textContent = words;
  if (parent) parent.append(made);
  return made;
}

function showSide() {
  const layers = byId("layers");
  layers.replaceChildren();
  for (const layer of view.layers) {
    const label = element("label", undefined, layers), box = element("input", undefined, label);
    box.type = "checkbox"; box.checked = layer.on;
    box.onchange = () => { layer.on = box.checked; drawAnew(); };
    const sample = document.createElementNS("http://www.w3.org/2000/svg", "svg"), line = document.createElementNS("http://www.w3.org/2000/svg", "line");
    sample.setAttribute("viewBox", "0 0 44 12"); sample.setAttribute("aria-hidden", "true");
    for (const [key, value] of Object.entries({ x1: 1, x2: 43, y1: 6, y2: 6, stroke: `var(--${layer.style})`, "stroke-width": WEIGHTS[layer.style], "stroke-dasharray": DASHES[layer.style].join(" ") })) line.setAttribute(key, value);
    sample.append(line); label.append(sample);
    element("span", `${layer.name} (${layer.counts.length})`, label);
  }
  const spots = byId("spots");
  spots.replaceChildren();
  for (const spot of view.spots) {
    const button = element("button", spot.name, element("li", undefined, spots));
    if (spot.bad) button.className = "bad";
    element("small", spot.words, button);
    button.onclick = () => goTo(spot);
  }
  byId("spots-section").hidden = view.spots.length === 0;
  const facts = byId("facts");
  facts.replaceChildren();
  for (const [name, value] of view.facts) { element("dt", name, facts); element("dd", value, facts); }
}

function show(index) {
  view = scene.views[index];
  grid = null; measured = []; now = 0; doneTo = 0;
  setPlaying(false);
  byId("player").hidden = !view.timeline;
  if (view.timeline) byId("time").max = view.timeline.seconds[view.timeline.seconds.length - 1];
  showSide();
  sizeCanvases();
  shotPlace = null;
  fit();
  if (view.timeline) showTime();
}

byId("title").textContent = scene.title;
byId("notes").textContent = scene.notes.join(" ");
scene.views.forEach((each, index) => { element("option", each.name, byId("view")).value = index; });
byId("view").onchange = (event) => show(Number(event.target.value));
byId("view").parentElement.hidden = scene.views.length < 2;
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => { shades(); drawAnew(); });
new ResizeObserver(() => { sizeCanvases(); drawAnew(); }).observe(stage);
shades();
show(0);
