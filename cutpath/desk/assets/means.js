"use strict";
// Small means of the page: elements that follow values, buttons, words, asking and telling.
const byId = (id) => document.getElementById(id);
const token = document.querySelector("meta[name=token]").content;

// ---- small means -------------------------------------------------------------------------------

function make(tag, text = "", className = "") {
  const made = document.createElement(tag);
  if (text) made.textContent = text;
  if (className) made.className = className;
  return made;
}

function icon(name) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("aria-hidden", "true");
  svg.append(document.createElementNS("http://www.w3.org/2000/svg", "use"));
  setIcon(svg, name);
  return svg;
}

const setIcon = (svg, name) => svg.firstElementChild.setAttribute("href", "#i-" + name);
const setText = (node, text) => { if (node.textContent !== text) node.textContent = text; };

// Children of ``list`` follow ``items``; what stays is the same element, so the focus stays too.
function follow(list, items, key, build, show) {
  const known = new Map([...list.children].map((child) => [child.dataset.key, child]));
  items.forEach((item, index) => {
    const name = String(key(item));
    let child = known.get(name);
    known.delete(name);
    if (!child) { child = build(item); child.dataset.key = name; }
    if (list.children[index] !== child) list.insertBefore(child, list.children[index] || null);
    show(child, item);
  });
  for (const child of known.values()) child.remove();
}

const SETTLES = 700; // ms in which a second tap, or a key held down, may still mean the button before

// Buttons follow too: [name, words, what it does, is it the main one]. One that has just come where
// another was does nothing yet. Where the one with the focus goes, its group takes the focus.
function buttons(group, wanted) {
  const hadFocus = group.contains(document.activeElement);
  follow(group, wanted, (each) => each[0], () => {
    const button = make("button");
    button.type = "button";
    button.dataset.since = performance.now();
    return button;
  }, (button, [name, words, does, isMain]) => {
    setText(button, words);
    button.dataset.act = name;
    button.className = isMain ? "main" : "";
    button.disabled = document.body.classList.contains("cut-off");
    button.onclick = () => { if (performance.now() - button.dataset.since > SETTLES) does(); };
  });
  if (hadFocus && !group.contains(document.activeElement)) {
    group.tabIndex = -1;
    group.focus({ preventScroll: true });
  }
}

function duration(seconds) {
  if (seconds < 60) return `${Math.max(0, Math.round(seconds))} s`;
  const minutes = Math.round(seconds / 60);
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

const sentence = (words) => words && words[0].toUpperCase() + words.slice(1) + (/[.!?]$/.test(words) ? "" : ".");
const count = (number, one, many) => `${number} ${number === 1 ? one : many}`;

// ---- asking ------------------------------------------------------------------------------------

function tell(words) {
  const p = make("p"), close = make("button", "Close");
  p.append(make("span", words), close);
  close.type = "button";
  close.onclick = () => p.remove();
  byId("alert").replaceChildren(p);
}

async function act(path, said = {}) {
  byId("alert").replaceChildren();
  try {
    const answer = await fetch(path, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Cutpath-Token": token },
      body: JSON.stringify(said),
    });
    const told = await answer.json().catch(() => ({ error: `the desk answered ${answer.status}` }));
    const words = [told.words, told.error, told.remedy].filter(Boolean).map(sentence);
    if (words.length) tell(words.join("\n"));
    return told.words || "";
  } catch {
    tell("The desk does not answer: nothing was changed. Use the machine's own controls.");
  }
  return "";
}

const onLane = (lane, what) => act(`/lanes/${lane.number}/${what}`);
const onJob = (job, what, said) => act(`/jobs/${job.number}/${what}`, said);

// Ask before what cannot be taken back. ``choices``: {kind, legend, of: [[value, words, checked]]}.
function ask(head, words, yes, does, choices = null) {
  const dialog = byId("dialog"), field = byId("dialog-choices");
  setText(byId("dialog-head"), head);
  setText(byId("dialog-words"), words);
  setText(byId("dialog-yes"), yes);
  field.hidden = !choices;
  if (choices) {
    setText(field.firstElementChild, choices.legend);
    field.lastElementChild.replaceChildren(...choices.of.map(([value, text, isChosen]) => {
      const label = make("label"), input = make("input");
      Object.assign(input, { type: choices.kind, name: "choice", value, checked: isChosen });
      label.append(input, make("span", text));
      return label;
    }));
  }
  dialog.onclose = () => {
    if (dialog.returnValue !== "yes") return;
    does([...field.querySelectorAll("input:checked")].map((input) => input.value));
  };
  dialog.returnValue = "no";
  dialog.showModal();
}
