"use strict";
// The page shows what it is told (events) and asks by name and number (acts). It decides nothing.
let state = { lanes: [], jobs: [] }, progress = {}, chosen = null;
let lastHeard = 0, source = null, isTold = false;

// ---- what a machine does, in words -------------------------------------------------------------

const jobsOf = (lane) => state.jobs.filter((job) => job.lane === lane.name);
const doubtOf = (lane) => jobsOf(lane).find((job) => job.state === "interrupted");

function standing(lane) {
  const wish = lane.wish, doing = lane.doing;
  if (doing === "sending" && lane.words) return { icon: "fault", words: "The machine stands", needs: true };
  if (doing === "sending" && wish === "pause") return { icon: "paused", words: "Pausing at the next lift" };
  if (doing === "sending" && wish === "stop") return { icon: "off", words: "Stopping" };
  if (doing === "sending") return { icon: "sending", words: "Cutting" };
  if (doing === "paused" && lane.words) return { icon: "asks", words: "Paused: look", needs: true };
  if (doing === "paused") return { icon: "paused", words: "Paused, tool up", needs: true };
  if (doubtOf(lane)) return { icon: "fault", words: "A job is in doubt", needs: true };
  if (doing === "asks") return { icon: "asks", words: "Is the bed ready?", needs: true };
  if (doing === "idle" && lane.words) return { icon: "fault", words: "The next job cannot begin", needs: true };
  if (doing === "idle") return { icon: "idle", words: jobsOf(lane).some((job) => job.state === "waiting") ? "Ready" : "Ready, nothing waits" };
  if (lane.words) return { icon: "fault", words: "The sender ended", needs: true };
  return { icon: "off", words: "Not sending" };
}

const KINDS = { whole: "", rest: "Rest: ", recut: "Again: " };
const titleOf = (job) => KINDS[job.kind] + job.file;

function aboutJob(job) {
  const parts = [];
  if (job.job && job.job !== job.file) parts.push(job.job);
  if (job.cloth) parts.push(job.cloth);
  parts.push(count(job.pieces, "piece", "pieces"), `about ${duration(job.seconds)}`);
  if (job.copies > 1) parts.push(`${job.made} of ${job.copies} made`);
  return parts.join(" · ");
}

const HOW = {
  waiting: ["waiting", "Waits"], held: ["held", "Held: is not sent"], sending: ["sending", "At work"],
  interrupted: ["fault", "In doubt"], done: ["done", "Done"],
};

// ---- the page ----------------------------------------------------------------------------------

function buildLane(lane) {
  const item = make("li"), button = make("button");
  button.type = "button";
  button.append(icon("idle"), make("b"), make("small"), make("i"));
  button.onclick = () => { choose(lane.number); byId("lane").focus({ preventScroll: true }); };
  item.append(button);
  return item;
}

function showLane(item, lane) {
  const button = item.firstElementChild, [svg, name, words, bar] = button.children;
  const how = standing(lane), at = progress[lane.number];
  setIcon(svg, how.icon);
  setText(name, lane.name);
  const waits = jobsOf(lane).filter((job) => job.state === "waiting").length;
  const far = at && lane.doing !== "idle" ? `, ${Math.floor(100 * at.share)} %` : "";
  setText(words, how.words + far + (waits ? ` · ${waits} to come` : ""));
  item.className = how.needs ? "needs" : "";
  bar.hidden = !at;
  if (at) bar.style.setProperty("--share", `${100 * at.share}%`);
  button.setAttribute("aria-current", String(lane.number === chosen));
}

function buildJob(job) {
  const item = make("li", "", "job"), about = make("div"), canvas = make("canvas");
  canvas.dataset.job = job.number;
  canvas.setAttribute("aria-hidden", "true");
  seen.observe(canvas);
  const how = make("p", "", "how");
  how.append(icon("waiting"), make("span"));
  about.append(make("h4"), make("p", "", "about"), how);
  item.append(canvas, about, make("div", "", "acts"));
  return item;
}

function showJob(item, job, waiting) {
  const [, about, acts] = item.children, [name, words, how] = about.children;
  setText(name, titleOf(job));
  setText(words, aboutJob(job));
  setIcon(how.firstElementChild, HOW[job.state][0]);
  setText(how.lastElementChild, HOW[job.state][1]);
  item.classList.toggle("at-work", job.state === "sending" || job.state === "interrupted");
  acts.setAttribute("role", "group");
  acts.setAttribute("aria-label", titleOf(job));
  const wanted = [], index = waiting.indexOf(job);
  if (job.state === "waiting") wanted.push(["hold", "Hold", () => onJob(job, "hold")]);
  if (job.state === "held") wanted.push(["release", "Release", () => onJob(job, "release")]);
  if (index > 1) wanted.push(["first", "First", () => onJob(job, "move", { first: true })]);
  if (index > 0) wanted.push(["earlier", "Earlier", () => onJob(job, "move", { before: waiting[index - 1].number })]);
  if (index >= 0 && index < waiting.length - 1) wanted.push(["later", "Later", () => later(job, waiting, index)]);
  if (job.state === "done") wanted.push(["recut", "Cut pieces again…", () => recut(job)]);
  if (job.state !== "sending" && job.state !== "interrupted") wanted.push(["remove", "Remove…", () => ask(
    "Remove this job?", `${titleOf(job)} leaves the queue. The machine file stays where it was made.`, "Remove", () => onJob(job, "remove"))]);
  buttons(acts, wanted);
}

function later(job, waiting, index) {
  const next = waiting[index + 2];
  onJob(job, "move", next ? { before: next.number } : {});
}

async function recut(job) {
  try {
    const lines = await linesOf(job.number);
    ask("Cut pieces again", `They are cut from fresh cloth where they lie in ${job.file}, as the next job.`, "Cut again",
      (chosen) => chosen.length && onJob(job, "recut", { pieces: chosen }),
      { kind: "checkbox", legend: "Pieces", of: lines.pieces.map((name) => [name, name, job.doubt ? job.doubt.doubtful.includes(name) : false]) });
  } catch {
    tell("The pieces of this job cannot be read. Remove it, or look on the computer.");
  }
}

const marks = new Map(); // lane → where its check mark must lie

function goOn(job) {
  const { first, last } = job.doubt, of = [];
  if (last > first) of.push([first, `cut what is in doubt again: strokes ${first + 1} to ${last}, and all after them`, true]);
  of.push([last, `cut only what was not begun: from stroke ${last + 1}`, last === first]);
  ask("Go on with the rest", "The cloth must lie as it did. Look at the cut first: a line cut twice frays, one not cut holds the piece.",
    "Make it the next job", async ([from]) => { if (from !== undefined) marks.set(job.lane, await onJob(job, "rest", { stroke: Number(from) })); },
    { kind: "radio", legend: "From where?", of: of.filter(([stroke]) => stroke < job.strokes) });
}

function showFault(lane) {
  const job = doubtOf(lane), box = byId("fault"), doubt = job && job.doubt;
  box.hidden = !(job || lane.words);
  if (box.hidden) return;
  const heads = { sending: "The machine stands", paused: "Paused: look", idle: "The next job cannot begin", asks: "Before the next job", "no sender": "The sender ended" };
  setText(byId("fault-head"), job ? `In doubt: ${titleOf(job)}` : heads[lane.doing]);
  const words = [doubt && doubt.why, lane.words, lane.doing === "paused" && marks.get(lane.name)].filter(Boolean).map(sentence);
  setText(byId("fault-words"), [...new Set(words)].join("\n"));
  setText(byId("fault-told"), doubt ? sentence(doubt.told) + (doubt.doubtful.length ? ` Look at: ${doubt.doubtful.join(", ")}.` : "") : "");
  setText(byId("fault-next"), doubt ? "Look at the cloth and at the tool before anything moves. Then choose:" : "");
  const wanted = [];
  if (doubt) {
    if (doubt.first < job.strokes) wanted.push(["rest", "Go on with the rest…", () => goOn(job), true]);
    wanted.push(["again", "All again, fresh cloth…", () => ask("Cut it all again?", "On fresh cloth, from its first stroke, as soon as its turn comes.", "Cut all again", () => onJob(job, "again"))]);
    wanted.push(["recut", "Some pieces again…", () => recut(job)]);
    wanted.push(["done", "Count it as done…", () => ask("Is it done?", "You looked: all of it is cut, or you cut the rest by hand. It counts as made.", "Count it", () => onJob(job, "done"))]);
  }
  buttons(byId("fault-acts"), wanted);
}

function showAsks(lane, jobs) {
  const job = jobs.find((each) => each.state === "waiting"), box = byId("asks");
  box.hidden = lane.doing !== "asks" || !job;
  if (box.hidden) return;
  setText(byId("asks-head"), `Next: ${titleOf(job)}`);
  setText(byId("asks-words"), [`Cloth: ${job.cloth || "see the sheet"}.`, job.note && sentence(job.note), "Keep clear of the bed before you say it is ready."].filter(Boolean).join(" "));
  follow(byId("asks-cautions"), lane.cautions, (words) => words, (words) => make("li", words), () => {});
}

function laneButtons(lane) {
  const wanted = [], { doing, wish } = lane;
  const pause = ["pause", "Pause at the next lift", () => onLane(lane, "pause"), true];
  const goOnButton = ["go-on", "Go on", () => onLane(lane, "go-on"), true];
  const stop = ["stop", "Stop the job…", () => ask("Stop this job?",
    "The tool is lifted at the end of the instruction that is being sent, and what is not cut stays uncut. In danger, use the machine's own stop button.",
    "Stop the job", () => onLane(lane, "stop"))];
  if (doing === "sending" && wish === "go on") wanted.push(pause, stop);
  if (doing === "sending" && wish === "pause") wanted.push(goOnButton, stop);
  if (doing === "paused") wanted.push(goOnButton, stop);
  if (doing === "idle" && lane.words) wanted.push(["go-on", "Try again", () => onLane(lane, "go-on"), true]);
  if (doing === "asks") wanted.push(["ready", "The bed is ready: cut", () => onLane(lane, "go-on"), true]);
  if (doing === "no sender") wanted.push(["start", "Start sending", () => onLane(lane, "start"), !doubtOf(lane)]);
  if (doing === "idle" || doing === "asks") wanted.push(["end", "End sending", () => onLane(lane, "end")]);
  if (doing === "sending" && wish === "go on") wanted.push(["end", "End after this job", () => onLane(lane, "end")]);
  buttons(byId("lane-acts"), wanted);
}

let shown = ""; // what the large picture shows now
let isNear = false; // the piece at work, not the whole bed

async function showLay(lane, jobs) {
  const job = jobs.find((each) => each.state === "sending" || each.state === "interrupted") || jobs.find((each) => each.state === "waiting");
  byId("figure").hidden = !job;
  const at = progress[lane.number], isGoing = Boolean(at && job && job.state === "sending");
  byId("going").hidden = !isGoing;
  if (!job) { shown = ""; return; }
  let lines;
  try { lines = await linesOf(job.number); } catch { return; }
  byId("lay").style.aspectRatio = `${lines.box[2] - lines.box[0]} / ${lines.box[3] - lines.box[1]}`;
  const doubt = job.doubt;
  const how = isGoing ? { done: Math.max(0, at.stroke), now: at.stroke } : doubt ? { done: doubt.first, doubt: doubt.last } : {};
  if (isNear) how.box = boxOfPiece(lines, isGoing ? at.stroke : doubt ? doubt.first : 0);
  byId("key-now").hidden = !isGoing;
  byId("key-doubt").hidden = !doubt;
  const size = byId("lay").getBoundingClientRect();
  const key = JSON.stringify([job.number, how, size.width, size.height, matchMedia("(prefers-color-scheme: dark)").matches]);
  if (key !== shown) { shown = key; draw(byId("lay"), lines, how); }
  byId("lay").dataset.done = how.done || 0;
  if (isGoing) {
    const number = Math.min(Math.max(at.stroke, 0), job.strokes - 1), share = Math.floor(100 * at.share);
    const words = `${lines.words[number] || ""}, stroke ${number + 1} of ${job.strokes}` + (job.copies > 1 ? `, copy ${at.copy} of ${job.copies}` : "") + `; about ${duration(at.left)} left`;
    byId("bar").firstElementChild.style.width = `${100 * at.share}%`;
    byId("bar").setAttribute("aria-valuenow", String(share));
    byId("bar").setAttribute("aria-valuetext", `${share} percent, ${words}`);
    setText(byId("share"), `${share} %`);
    setText(byId("doing"), words);
    setText(byId("lay-words"), `The lay of ${job.file}: ${number} of ${job.strokes} strokes done`);
  } else setText(byId("lay-words"), `The lay of ${job.file}` + (doubt ? `: ${doubt.told}` : ", not begun"));
}

function render() {
  const lanes = state.lanes;
  byId("empty").hidden = !isTold || lanes.length > 0;
  byId("lane").hidden = lanes.length === 0;
  document.querySelector("nav").hidden = lanes.length === 0;
  if (lanes.length && !lanes.some((lane) => lane.number === chosen)) {
    const found = lanes.find((lane) => standing(lane).needs) || lanes.find((lane) => lane.doing === "sending") || lanes[0];
    chosen = found.number;
  }
  follow(byId("lanes"), lanes, (lane) => lane.number, buildLane, showLane);
  const lane = lanes.find((each) => each.number === chosen);
  if (!lane) return;
  const jobs = jobsOf(lane), how = standing(lane);
  setText(byId("lane-name"), lane.name);
  setIcon(byId("lane-state").firstElementChild, how.icon);
  setText(byId("lane-state").lastElementChild, how.words);
  showFault(lane);
  showAsks(lane, jobs);
  laneButtons(lane);
  const waiting = jobs.filter((job) => job.state === "waiting" || job.state === "held");
  const open = jobs.filter((job) => job.state !== "done"), past = jobs.filter((job) => job.state === "done").reverse();
  follow(byId("jobs"), open, (job) => job.number, buildJob, (item, job) => showJob(item, job, waiting));
  follow(byId("done"), past, (job) => job.number, buildJob, (item, job) => showJob(item, job, waiting));
  byId("none").hidden = open.length > 0;
  setText(byId("none"), "Nothing waits. Add a job on the computer: cutpath queue add FILE --on PROFILE");
  byId("past").hidden = past.length === 0;
  setText(byId("past-head"), `Done lately (${past.length})`);
  document.title = `${how.words}: ${lane.name}`;
  showLay(lane, jobs);
}

// ---- telling what changed, for those who do not look ---------------------------------------------

const said = new Map();

function announce() {
  const calm = [], urgent = [];
  for (const lane of state.lanes) {
    const how = standing(lane), job = doubtOf(lane);
    const words = `${lane.name}: ${how.words}` + (job && job.doubt ? `. ${sentence(job.doubt.why)} ${sentence(job.doubt.told)}` : how.icon === "fault" ? `. ${lane.words}` : "");
    if (said.has(lane.number) && said.get(lane.number) !== words) (how.icon === "fault" ? urgent : calm).push(words);
    said.set(lane.number, words);
  }
  if (calm.length) byId("polite").textContent = calm.join(". ");
  if (urgent.length) tell(urgent.join("\n"));
}

// ---- the line to the desk --------------------------------------------------------------------------

function showLink(isUp, words) {
  const was = document.body.classList.contains("cut-off");
  document.body.classList.toggle("cut-off", !isUp);
  setIcon(byId("link").firstElementChild, isUp ? "done" : "fault");
  setText(byId("link").lastElementChild, words);
  if (was === isUp) { if (!isUp) tell("No word from the desk: what you see may be old, and nothing can be asked. Use the machine's own controls."); else byId("alert").replaceChildren(); render(); }
}

function heard() { lastHeard = Date.now(); showLink(true, "Live"); }

function connect() {
  source = new EventSource("/events");
  source.addEventListener("state", (event) => { state = JSON.parse(event.data); isTold = true; heard(); announce(); render(); });
  source.addEventListener("progress", (event) => { progress = JSON.parse(event.data); heard(); render(); });
  source.addEventListener("trouble", (event) => { const told = JSON.parse(event.data); heard(); tell([told.error, told.remedy].filter(Boolean).join("\n")); });
  source.addEventListener("beat", heard);
  source.onerror = () => {
    showLink(false, "Not connected");
    if (source.readyState === EventSource.CLOSED) setTimeout(comeBack, 2000);
  };
}

// The desk was closed and opened again: it does not know this page any more, and gives a new one.
async function comeBack() {
  try { await fetch("/icon.svg", { cache: "no-store" }); location.reload(); } catch { setTimeout(comeBack, 2000); }
}

setInterval(() => {
  if (lastHeard && Date.now() - lastHeard > 25000) { showLink(false, "Not connected"); lastHeard = 0; source.close(); connect(); }
}, 5000);

function choose(number) {
  chosen = number;
  history.replaceState(null, "", `#${number}`);
  render();
  document.querySelector("#lanes [aria-current=true]").scrollIntoView({ block: "nearest", inline: "nearest" });
}

byId("near").onclick = () => {
  isNear = !isNear;
  byId("near").setAttribute("aria-pressed", String(isNear));
  render();
};

chosen = Number(location.hash.slice(1)) || null;
addEventListener("hashchange", () => { chosen = Number(location.hash.slice(1)) || null; render(); });
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => { render(); document.querySelectorAll(".job canvas").forEach(thumbnail); });
new ResizeObserver(render).observe(byId("figure"));
connect();
