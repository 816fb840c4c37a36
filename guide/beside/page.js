"use strict";
/*limits*/
const [token, seat] = location.hash.slice(1).split("/"), at = (id) => document.getElementById(id);
const known = {}, spoken = new Set(), drawn = {};
let view = null, you = "", may = false, ahead = 0, open = false, over = false, speaks = false, stop = null, taken = null, turn = 0, saying = [];

function el(name, words, kind) {
  const made = document.createElement(name);
  if (words !== undefined) made.textContent = words;
  if (kind) made.className = kind;
  return made;
}
// Only what has changed is built anew, so that a reader's place and an opened text stay.
function fill(id, value, build) {
  const now = JSON.stringify(value);
  if (known[id] === now) return;
  known[id] = now;
  at(id).replaceChildren(...(value && value.length ? build(value) : []));
}
function lines(id, value, tag = "p") { fill(id, value, (some) => some.map((one) => el(tag, one))); }
function text(id, words) { if (at(id).textContent !== words) at(id).textContent = words; }

function number(value) {
  return value.split(" ").map((one) => {
    const part = /^(\d+)\/(\d+)$/.exec(one);
    if (part) {
      const made = el("span", undefined, "part");
      made.append(el("span", part[1]), el("span", part[2]));
      made.setAttribute("role", "img");
      made.setAttribute("aria-label", one);
      return made;
    }
    return el("span", one, /\d/.test(one) ? "" : "unit");
  });
}
function stitches(some) {
  const [done, pieces] = some, many = Math.min(pieces, 24), sewn = pieces > 24 ? Math.floor((done * many) / pieces) : done;
  return Array.from({ length: many }, (_, n) => el("i", undefined, n < sewn ? "" : n === sewn ? "here" : "ahead"));
}
function row(one) {
  const made = el("p", undefined, seat && one.key === seat ? "own" : one.sign === "caution" ? "caution" : "");
  if (one.key) made.append(el("span", one.key, "key"));
  for (const [role, words] of one.parts) made.append(el("span", words, role.replaceAll(".", "-")));
  return made;
}
function pairs(some, flip) {
  return some.flatMap(([a, b]) => { const two = [el("dt", flip ? b : a), el("dd", flip ? a : b)]; return two; });
}
function clock(ms, up) {
  const s = Math.max(0, (up ? Math.ceil : Math.floor)(ms / 1000)), h = Math.floor(s / 3600), m = Math.floor(s / 60) % 60;
  const two = (n) => String(n).padStart(2, "0");
  return h ? `${h}:${two(m)}:${two(s % 60)}` : `${m}:${two(s % 60)}`;
}

function show(v) {
  document.documentElement.lang = v.lang;
  document.title = `${v.title}, ${v.project}`;
  text("project", [v.project, v.mode].filter(Boolean).join(": "));
  text("worked", v.worked ? `worked today ${v.worked}` : "");
  text("number", v.number);
  text("title", v.title);
  at("title").className = v.sign;
  fill("big", v.big ? [v.big, v.big_label] : [], ([value, what]) => [...number(value), ...(what ? [el("span", what, "what")] : [])]);
  text("place", v.place);
  text("count", v.count);
  fill("stitches", v.pieces > 1 && !v.card ? [v.done, v.pieces] : [], stitches);
  text("said", v.said);
  fill("drawings", v.drawings.filter((name) => drawn[name]), (some) => some.map((name) => {
    const made = el("img");
    made.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(drawn[name].svg)}`;
    made.alt = drawn[name].alt;
    return made;
  }));
  document.querySelector("main").className = v.drawings.length ? "" : "plain";
  fill("card", [...(v.card || [])].sort((a, b) => (seat ? (b.key === seat) - (a.key === seat) : 0)), (some) => some.map(row));
  fill("doing", v.doing, (some) => some.map(([title, words]) => el("p", title ? `${title}: ${words}` : words)));
  lines("cautions", v.cautions, "li");
  fill("figures", v.figures, (some) => pairs(some, true));
  fill("times", v.times, (some) => some.map(([word, time]) => {
    const made = el("div");
    made.append(el("dt", word), el("dd", time));
    return made;
  }));
  lines("coming", v.coming);
  fill("waits", v.waits, (some) => some.map((one) => {
    const made = el("li");
    made.append(el("b"), el("span", one.name), el("span", `at ${one.clock}`, "quiet"));
    return made;
  }));
  lines("stack", v.stack, "li");
  at("stackbox").hidden = !v.stack.length;
  fill("texts", v.texts, (some) => some.map(([head, words]) => {
    const made = el("details");
    made.append(el("summary", head), el("p", words));
    return made;
  }));
  fill("stages", v.stages, (some) => some.map(([name, share, here]) => {
    const made = el("span", name, here ? "on" : share >= 1 ? "done" : "");
    if (here) made.setAttribute("aria-current", "step");
    return made;
  }));
  tick();
}
function tick() {
  if (!view) return;
  const now = performance.now() + ahead, first = document.querySelector("#times dd");
  if (first && (view.began !== null || view.ran_ms)) {
    const said = clock(view.began === null ? view.ran_ms : now - view.began);
    if (first.textContent !== said) first.textContent = said;
  }
  document.querySelectorAll("#waits li").forEach((made, n) => {
    const left = view.waits[n].due - now, said = left > 0 ? clock(left, true) : "over";
    if (made.firstChild.textContent !== said) made.firstChild.textContent = said;
    made.firstChild.className = left > 0 ? "" : "over";
  });
}
function buttons() {
  const b = (view && view.button) || {}, live = open && !over;
  at("foot").hidden = !may;
  at("space").disabled = !live || !b.word;
  at("u").disabled = !live || !b.undo;
  at("p").disabled = !live || !b.pause;
  text("space", b.word ? b.word[0].toUpperCase() + b.word.slice(1) : b.why || "…");
  at("camera").disabled = !live;
}
function speak(v, was) {
  const words = v.title === was.title ? [] : [v.spoken.step || v.title, v.spoken.number], mine = hush();
  words.push(v.spoken.place, v.spoken.left);
  const say = (text, ended) => {
    const said = new SpeechSynthesisUtterance(text);
    said.lang = v.lang;
    said.onend = ended;
    saying.push(said);
    speechSynthesis.speak(said);
  };
  // A caution that was cut short was not heard: it comes again with the next press.
  for (const one of v.cautions) if (!spoken.has(one)) say(one, () => { if (mine === turn) spoken.add(one); });
  const rest = words.filter(Boolean).join(". ");
  if (rest) say(rest, null);
}
// Fall silent; what is said is held on to, for a browser may else forget to tell that it has ended.
function hush() {
  speechSynthesis.cancel();
  saying = [];
  return ++turn;
}
function connected(yes) {
  open = yes;
  document.body.className = yes ? "" : "lost";
  if (!yes) text("lost", over ? "The sitting has ended." : "Not connected. What stands here is old; the computer at the machine goes on.");
  buttons();
}
function take(frame) {
  for (const one of frame.drawings) drawn[one.name] = one;
  you = frame.you;
  may = frame.press;
  at("photo").hidden = !frame.photo;
  at("voice").hidden = !frame.photo || !window.speechSynthesis; // a board is looked at only
  over = frame.over;
  if (over) return connected(false);
  const was = view;
  view = frame.view;
  ahead = frame.now - performance.now();
  connected(true);
  show(view);
  if (was && view.moves !== was.moves) {
    text("heard", view.heard.join(" "));
    if (speaks) speak(view, was);
  }
}

async function listen() {
  const control = new AbortController();
  stop = () => control.abort();
  let quiet = setTimeout(stop, 5000);
  const reply = await fetch(`/stream?page=${you}`, { headers: { Authorization: `Bearer ${token}` }, cache: "no-store", signal: control.signal });
  if (reply.status === 401) { text("lost", "This address is of another sitting: take the new one from the computer."); over = true; return; }
  if (!reply.ok) return;
  const reader = reply.body.pipeThrough(new TextDecoderStream()).getReader();
  for (let kept = ""; ;) {
    const { value, done } = await reader.read();
    if (done) return;
    clearTimeout(quiet);
    quiet = setTimeout(stop, 5000);
    kept += value;
    const all = kept.split("\n");
    kept = all.pop();
    for (const line of all) if (line) take(JSON.parse(line));
    if (!open && !over) connected(true);
  }
}
let hurry = () => {};
async function follow() {
  for (let wait = 250; !over; wait = Math.min(wait * 2, 2000)) {
    const began = performance.now();
    try { await listen(); } catch { /* told below */ }
    if (over) break;
    connected(false);
    if (performance.now() - began > 5000) wait = 250;
    await new Promise((go) => { hurry = go; setTimeout(go, wait); });
  }
  if (over && view) connected(false);
}
async function send(path, body) {
  try {
    const reply = await fetch(path, { method: "POST", headers: { Authorization: `Bearer ${token}` }, body });
    const { why } = await reply.json();
    return why || (reply.ok ? "" : "The computer did not take it.");
  } catch {
    return "No answer came. Look whether it counted before you send it again.";
  }
}
function tell(words) { if (words) { text("said", words); text("heard", words); } }
for (const key of ["space", "u", "p"]) {
  at(key).addEventListener("click", async () => {
    if (!open || !view) return;
    tell(await send("/press", JSON.stringify({ page: you, key, of: view.of, newest: view.newest, moves: view.moves })));
  });
}
at("camera").addEventListener("click", () => { taken = view; });
at("camera").addEventListener("change", async () => {
  const [photo] = at("camera").files;
  const from = taken || view;
  if (!photo || !from) return;
  if (photo.size > MOST_BYTES) return tell(TOO_LARGE);
  tell("Sending the photo …");
  tell((await send(`/photo?page=${you}&of=${from.of}&step=${encodeURIComponent(from.step)}`, photo)) || "Photo noted.");
  at("camera").value = "";
});
at("voice").addEventListener("click", () => {
  speaks = !speaks;
  at("voice").setAttribute("aria-pressed", String(speaks));
  hush();
  if (speaks && view) speak(view, {});
});
let lock = null;
async function awake() {
  if (!navigator.wakeLock) return;
  try { lock = await navigator.wakeLock.request("screen"); text("awake", "The screen stays on while this page is in front."); } catch { lock = null; }
}
text("awake", navigator.wakeLock ? "Touch the page once, and the screen stays on." : "So that the screen stays on, set its time-out longer in this device's own settings: browsers keep it on only for secure addresses.");
addEventListener("pointerdown", () => { if (!lock || lock.released) awake(); });
addEventListener("offline", () => { if (stop) stop(); connected(false); });
addEventListener("online", () => hurry());
document.addEventListener("visibilitychange", () => { if (!document.hidden) hurry(); });
setInterval(tick, 250);
buttons();
follow();
