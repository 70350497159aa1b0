"use strict";
// The lay as it is drawn: strokes by what is done, being done, in doubt and to come.

const drawn = new Map(); // job number → lines, or the promise of them

function unpacked(text, Kind) {
  return new Kind(Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0)).buffer);
}

async function fetchLines(number) {
  const answer = await fetch(`/jobs/${number}/lines`);
  if (!answer.ok) throw new Error("gone");
  const lines = await answer.json();
  lines.counts = unpacked(lines.counts, Uint32Array);
  lines.points = unpacked(lines.points, Float32Array);
  let box = [0, 0, lines.bed[0], lines.bed[1]], at = 0;
  lines.paths = Array.from(lines.counts, (n) => {
    const path = new Path2D();
    for (let i = 0; i < n; i++, at++) {
      const x = lines.points[2 * at], y = lines.points[2 * at + 1];
      if (i) path.lineTo(x, y); else path.moveTo(x, y);
      if (n === 1) path.lineTo(x + 0.01, y);
      box = [Math.min(box[0], x), Math.min(box[1], y), Math.max(box[2], x), Math.max(box[3], y)];
    }
    return path;
  });
  lines.first = [0];
  for (const n of lines.counts) lines.first.push(lines.first.at(-1) + n);
  lines.box = box;
  return lines;
}

function linesOf(number) {
  if (!drawn.has(number)) {
    const promise = fetchLines(number).then((lines) => { drawn.set(number, lines); return lines; });
    promise.catch(() => setTimeout(() => drawn.delete(number), 5000));
    drawn.set(number, promise);
    while (drawn.size > 80) drawn.delete(drawn.keys().next().value);
  }
  return drawn.get(number);
}

// Strokes from one to another as one path for what is cut and one for what is drawn.
function sum(lines, from, to) {
  const cut = new Path2D(), pen = new Path2D();
  for (let i = Math.max(0, from); i < Math.min(to, lines.paths.length); i++) (lines.roles[i] === "pen" ? pen : cut).addPath(lines.paths[i]);
  return { cut, pen };
}

// The piece that stroke ``number`` serves, with room around it.
function boxOfPiece(lines, number) {
  const piece = lines.piece[Math.min(Math.max(number, 0), lines.piece.length - 1)];
  let box = [Infinity, Infinity, -Infinity, -Infinity];
  lines.piece.forEach((each, index) => {
    if (each !== piece) return;
    const [x0, y0, x1, y1] = boxOf(lines, index, index + 1);
    box = [Math.min(box[0], x0), Math.min(box[1], y0), Math.max(box[2], x1), Math.max(box[3], y1)];
  });
  const room = 0.04 * Math.max(box[2] - box[0], box[3] - box[1], 50);
  return [box[0] - room, box[1] - room, box[2] + room, box[3] + room];
}

function boxOf(lines, from, to) {
  let box = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 2 * lines.first[from]; i < 2 * lines.first[to]; i += 2) {
    const x = lines.points[i], y = lines.points[i + 1];
    box = [Math.min(box[0], x), Math.min(box[1], y), Math.max(box[2], x), Math.max(box[3], y)];
  }
  return box;
}

// Draw strokes before ``done`` thick, ``now`` thickest, those up to ``doubt`` dashed, others thin.
function draw(canvas, lines, { done = 0, now = -1, doubt = 0, box = lines.box } = {}) {
  const size = canvas.getBoundingClientRect(), ratio = window.devicePixelRatio || 1;
  if (!size.width) return;
  canvas.width = Math.round(size.width * ratio);
  canvas.height = Math.round(size.height * ratio);
  const look = getComputedStyle(document.documentElement), shade = (name) => look.getPropertyValue("--" + name).trim();
  const [x0, y0, x1, y1] = box, small = size.width < 200, edge = small ? 4 : 10;
  const scale = Math.min((size.width - 2 * edge) / (x1 - x0), (size.height - 2 * edge) / (y1 - y0)) * ratio;
  const pen = canvas.getContext("2d");
  pen.setTransform(scale, 0, 0, -scale, canvas.width / 2 - scale * (x0 + x1) / 2, canvas.height / 2 + scale * (y0 + y1) / 2);
  pen.lineJoin = pen.lineCap = "round";
  const px = ratio / scale;
  const stroke = (path, colour, width, dash = []) => {
    pen.strokeStyle = colour; pen.lineWidth = width * px; pen.setLineDash(dash.map((d) => d * px)); pen.stroke(path);
  };
  const bed = new Path2D();
  bed.rect(0, 0, lines.bed[0], lines.bed[1]);
  pen.fillStyle = shade("paper"); pen.fill(bed);
  stroke(bed, shade("line"), small ? 1 : 1.5);
  const both = ({ cut, pen: drawn }, colour, width, dash) => { stroke(drawn, colour, Math.min(width, 1.2), dash); stroke(cut, colour, width, dash); };
  both(sum(lines, Math.max(done, doubt), Infinity), shade(small ? "soft" : "line"), 1);
  both(sum(lines, 0, done), shade("done"), small ? 1.5 : 3);
  if (doubt > done) {
    both(sum(lines, done, doubt), shade("doubt"), 2.6, [7, 5]);
    const [x0, y0, x1, y1] = boxOf(lines, done, doubt), room = 12 * px, ring = new Path2D();
    ring.roundRect(x0 - room, y0 - room, x1 - x0 + 2 * room, y1 - y0 + 2 * room, room);
    stroke(ring, shade("doubt"), 2, [2, 5]);
  }
  if (now >= 0 && now < lines.paths.length) {
    stroke(lines.paths[now], shade("now"), lines.roles[now] === "pen" ? 2.5 : 5);
    const at = 2 * lines.first[now];
    const ring = new Path2D();
    ring.arc(lines.points[at], lines.points[at + 1], 11 * px, 0, 7);
    stroke(ring, shade("paper"), 6); stroke(ring, shade("now"), 3);
  }
}

const seen = new IntersectionObserver((found) => {
  for (const each of found) if (each.isIntersecting) thumbnail(each.target);
});

async function thumbnail(canvas) {
  try { draw(canvas, await linesOf(canvas.dataset.job)); } catch { /* it was removed meanwhile */ }
}
