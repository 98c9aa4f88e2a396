// Asks the bench, and follows what goes on in the background.

// What was answered that is not as it should be; `problems` are lines with what they are about.
export class Refused extends Error {
  constructor(problems, data = {}, gone = false) {
    super(problems.map(({ key, text }) => (key ? `${key}: ${text}` : text)).join("; "));
    this.problems = problems;
    this.data = data;
    this.gone = gone;
  }
}

const GONE = [{ key: "", text: "the bench does not answer: it was stopped, or the machine slept; start `fitcheck bench` again and open the address that it prints. What you typed is kept on this page" }];
const LOCKED = [{ key: "", text: "the bench was started anew: open the address that it printed last, in this browser; that is enough. What you typed is kept on this page, and goes on when you come back to it" }];
const NO_KEY = 403;

async function asked(path, given) {
  let answer;
  try {
    answer = await fetch(path, { credentials: "same-origin", ...given });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Refused(GONE, {}, true);
  }
  const kind = answer.headers.get("content-type") || "";
  // plain words come from who stands before the bench: what was asked has not been looked at
  if (!kind.includes("json")) throw new Refused(answer.status === NO_KEY ? LOCKED : [{ key: "", text: (await answer.text()).trim() }], {}, true);
  const data = await answer.json();
  if (!answer.ok) throw new Refused(data.problems || [{ key: "", text: "the file was changed elsewhere" }], data);
  return data;
}

export function get(path) {
  return asked(path, {});
}

export function post(path, data, given = {}) {
  return asked(path, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(data), ...given });
}

// The papers, boards and other things to choose from; asked once until they may have changed.
let kept = null;
export function things() {
  kept = kept || get("/api/things").catch((error) => { kept = null; throw error; });
  return kept;
}

export function thingsChanged() {
  kept = null;
}

// Which page this is: of what one page asks only the newest counts.
export const PAGE = crypto.randomUUID ? crypto.randomUUID() : String(Math.random());

// Follows a run: `heard` gets each event; resolves to the last one. `leave()` on what is returned
// stops listening, `stop()` stops the run too.
export function follow(run, heard = () => {}) {
  const source = new EventSource(`/api/runs/${encodeURIComponent(run)}`);
  let ended;
  const over = new Promise((answer) => { ended = answer; });
  const end = (event) => { source.close(); ended(event); };
  let failures = 0;
  source.onmessage = (message) => {
    failures = 0;
    const event = JSON.parse(message.data);
    heard(event);
    if (["done", "failed", "stopped"].includes(event.kind)) end(event);
  };
  source.onerror = () => {
    failures += 1;
    if (source.readyState === EventSource.CLOSED || failures > 3) end({ kind: "failed", lines: [GONE[0].text] });
  };
  return {
    over,
    leave: () => end({ kind: "stopped" }),
    stop: () => post(`/api/stop/${encodeURIComponent(run)}`, {}).catch(() => {}),
  };
}

// Runs a command and follows it to its end.
export async function command(name, given, heard = () => {}) {
  const { run } = await post("/api/command", { command: name, given });
  const going = follow(run, heard);
  return { run, ...going };
}

// Drafts are kept in the workspace until they are saved or let go; here is what is known of them.
const PAUSE_MS = 400;
const LATE = "late drafts";
const map = new Map();
const late = new Map();
let timer = 0;

export const drafts = {
  // Reads them all, before anything is shown.
  async load() {
    const found = Object.entries(await get("/api/drafts"));
    map.clear();
    for (const [name, data] of found) map.set(name, data);
    // what was on its way when the page was left may have come later than it was asked for
    for (const [name, data] of JSON.parse(sessionStorage.getItem(LATE) || "[]")) {
      if (data === null) map.delete(name);
      else map.set(name, data);
      later(name, data);
    }
  },
  get(name) {
    return map.has(name) ? structuredClone(map.get(name)) : null;
  },
  put(name, data) {
    map.set(name, structuredClone(data));
    later(name, data);
  },
  drop(name) {
    if (!map.delete(name)) return;
    later(name, null);
  },
  names() {
    return [...map.keys()];
  },
};

function later(name, data) {
  late.set(name, structuredClone(data));
  clearTimeout(timer);
  timer = setTimeout(flush, PAUSE_MS);
  noteLate();
}

// Sends what is to be kept; what could not be sent goes with the next.
function flush(given = {}) {
  clearTimeout(timer);
  for (const [name, data] of late) {
    post("/api/draft", { key: name, data }, given).then(() => {
      if (late.get(name) === data) late.delete(name);
      noteLate();
    }).catch(() => {});
  }
}

// A reload of this page finds what has not been answered for.
function noteLate() {
  try { sessionStorage.setItem(LATE, JSON.stringify([...late])); } catch { /* it goes with the next */ }
}

window.addEventListener("pagehide", () => flush({ keepalive: true }));
