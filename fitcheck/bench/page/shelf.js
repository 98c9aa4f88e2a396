// The workspace's designs as cards, with a picture and the verdict.

import { get, post } from "./ask.js";
import { askedName, button, el, fill, linesOf, question, say, troubles } from "./dom.js";

export async function open(place) {
  const state = { here: true };
  await show(place, state);
  return () => { state.here = false; };
}

async function show(place, state) {
  const { designs, workspace } = await get("/api/shelf");
  if (!state.here) return;
  const own = designs.filter((one) => one.own && !one.away);
  const shipped = designs.filter((one) => !one.own);
  const away = designs.filter((one) => one.away);
  const again = (words) => { if (words) say(words); return show(place, state); };
  const cards = [];
  const group = (list) => el("ul", { class: "cards" }, list.map((one) => { const made = card(one, again); cards.push(made); return made.node; }));
  const put = away.length ? el("details", {}, el("summary", { text: `Put away (${away.length})` }), el("ul", { class: "plain" }, away.map((one) => el("li", { class: "row" }, el("span", { text: one.name }), button("Bring back", async () => { await tried(place, post("/api/back", { name: one.name })); again(`${one.name} is on the shelf again`); }, { "aria-label": `Bring back ${one.name}` }))))) : null;
  fill(
    place,
    el("link", { rel: "stylesheet", href: "/page/shelf.css" }),
    el("h1", { text: "The shelf" }),
    el("p", { class: "row" }, el("a", { class: "button main", href: "#/new", text: "Begin a new box" }), el("span", { class: "quiet", text: `The designs of the folder ${workspace}.` })),
    el("h2", { text: "Your own" }),
    own.length ? group(own) : el("p", { text: "Nothing of your own is here yet: begin a new box, or copy one of those below." }),
    put,
    shipped.length ? [el("h2", { text: "Came with fitcheck" }), el("p", { class: "quiet", text: "To look at and to copy; they stay as they are." }), group(shipped)] : null,
  );
  for (const one of cards) {
    if (!state.here) return;
    await one.load();
  }
}

function card({ name, own }, again) {
  const picture = el("div", { class: "picture", "aria-hidden": "true" }, el("span", { class: "quiet", text: "drawing" }));
  const title = el("a", { href: `#/design/${encodeURIComponent(name)}`, text: name });
  const verdict = el("p", { class: "verdict quiet", text: "looking at it" });
  const trouble = el("div");
  const asked = async (title_, path, words, given = {}) => {
    const made = await askedName(title_, given.value || "", { yes: words, words: given.words, help: "It becomes the name of a file." });
    if (made === null) return;
    fill(trouble);
    try {
      await path(made);
      again(`${made} is on the shelf`);
    } catch (error) {
      fill(trouble, troubles(linesOf(error)));
    }
  };
  const copy = () => asked(`Copy ${name}`, async (made) => post("/api/add", { name: made, text: (await get(`/api/design/${encodeURIComponent(name)}`)).text }), "Copy", { value: own ? `${name}-2` : `my-${name}` });
  const rename = () => asked(`Rename ${name}`, (made) => post("/api/rename", { name, new: made }), "Rename", { value: name, words: "Forecasts and boxes that were recorded stay under the old name." });
  const away = async () => {
    const said = await question(`Put ${name} away?`, [], { yes: "Put away", words: "It goes into the folder put-away beside the others, and can be brought back. Nothing is deleted." });
    if (!said) return;
    try {
      await post("/api/away", { name });
      again(`${name} was put away`);
    } catch (error) {
      fill(trouble, troubles(error.problems));
    }
  };
  const node = el(
    "li", { class: "card" }, picture, el("h3", {}, title), verdict, trouble,
    el("p", { class: "row" }, button("Copy", copy, { class: "small", "aria-label": `Copy ${name}` }), own ? [button("Rename", rename, { class: "small", "aria-label": `Rename ${name}` }), button("Put away", away, { class: "small", "aria-label": `Put ${name} away` })] : null),
  );
  const load = async () => {
    try {
      const found = await get(`/api/card/${encodeURIComponent(name)}`);
      title.textContent = found.title;
      verdict.textContent = found.verdict;
      node.classList.add(found.fits ? "yes" : "no");
      if (found.picture) fill(picture, el("img", { alt: "", src: `data:image/svg+xml,${encodeURIComponent(found.picture)}` }));
      else fill(picture);
    } catch (error) {
      verdict.textContent = error.message;
      fill(picture);
    }
  };
  return { node, load };
}

async function tried(place, asking) {
  try {
    await asking;
  } catch (error) {
    place.prepend(troubles(linesOf(error)));
    throw error;
  }
}
