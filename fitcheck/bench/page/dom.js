// Makes elements, and says things to those who do not see the page.

function isThere(child) {
  return child !== null && child !== undefined && child !== false;
}

// One element: attributes by name, `on` for listeners, `text` for what stands in it.
export function el(tag, given = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (value === undefined || value === null || value === false) continue;
    if (name === "on") for (const [kind, heard] of Object.entries(value)) made.addEventListener(kind, heard);
    else if (name === "text") made.textContent = value;
    else if (name === "class") made.className = value;
    else if (name === "value") made.value = value;
    else if (name === "checked" || name === "selected" || name === "disabled" || name === "hidden") made[name] = Boolean(value);
    else made.setAttribute(name, value === true ? "" : String(value));
  }
  made.append(...children.flat(Infinity).filter(isThere));
  return made;
}

// What stands in an element from now on.
export function fill(holder, ...children) {
  holder.replaceChildren(...children.flat(Infinity).filter(isThere));
  return holder;
}

// A drawing of ours, whose texts were escaped where it was made; its ids are made its holder's own.
let drawings = 0;
export function drawn(markup, title = "") {
  if (!markup) return null;
  const own = `d${(drawings += 1)}-`;
  const found = new DOMParser().parseFromString(markup, "image/svg+xml").documentElement;
  for (const one of [found, ...found.querySelectorAll("*")]) {
    if (one.id) one.id = own + one.id;
    for (const name of ["aria-labelledby", "aria-describedby"]) {
      const said = one.getAttribute(name);
      if (said) one.setAttribute(name, said.split(" ").map((id) => own + id).join(" "));
    }
  }
  const figure = el("div", { class: "drawn", role: "group", tabindex: "0", "aria-label": title || "drawing, scrolls sideways" });
  figure.append(document.importNode(found, true));
  return figure;
}

// Says something to a screen reader, the same words twice in a row too.
export function say(words) {
  const place = document.getElementById("says");
  place.textContent = "";
  requestAnimationFrame(() => { place.textContent = words; });
}

export function button(words, clicked, given = {}) {
  const click = (event) => { if (event.currentTarget.getAttribute("aria-disabled") !== "true") clicked(event); };
  return el("button", { type: "button", text: words, on: { click }, ...given });
}

// A button that does nothing now keeps the place of whoever stands on it.
export function off(made, is) {
  made.setAttribute("aria-disabled", String(is));
}

// A labelled line to fill in.
let labels = 0;
export function labelled(words, control, { help = "", wide = false } = {}) {
  const id = control.id || `f${(labels += 1)}`;
  control.id = id;
  const made = el("div", { class: wide ? "line wide" : "line" }, el("label", { for: id, text: words }), control);
  if (help) made.append(hint(words, help));
  return made;
}

// A word explained on the spot.
export function hint(words, help) {
  return el("details", { class: "hint" }, el("summary", { "aria-label": `Explain: ${words}` }, el("span", { "aria-hidden": "true", text: "?" })), el("p", { text: help }));
}

export function choices(options, chosen, given = {}) {
  const made = el("select", given, options.map((one) => {
    const { value, words } = typeof one === "string" ? { value: one, words: one } : one;
    return el("option", { value, text: words, selected: value === chosen });
  }));
  return made;
}

// The name of a file for what somebody calls a thing: letters, digits, - and _.
export function nameOf(said) {
  const plain = said.normalize("NFKD").replace(/[\u0300-\u036f]/g, "");
  return plain.trim().replace(/[^A-Za-z0-9_]+/g, "-").replace(/^[-_]+|-+$/g, "").slice(0, 60);
}

// What is wrong, as lines with what they are about.
export function linesOf(error) {
  return error.problems || [{ key: "", text: error.message }];
}

// Asks what a thing is to be called; null where it was left.
export async function askedName(title, value, { yes, words = "", help = "" }) {
  const field = el("input", { name: "new", value, required: true, autocomplete: "off" });
  const said = await question(title, labelled("Its name", field, { help }), { yes, words });
  return said && nameOf(said.new);
}

// Problems in words; each a line.
export function troubles(problems) {
  return el("div", { role: "alert" }, el("ul", { class: "troubles" }, problems.map(({ key, text }) => el("li", { text: key ? `${key}: ${text}` : text }))));
}

// A question in a dialog; resolves to the form's values, or null where it was left.
export function question(title, fields, { yes = "Do it", words = "" } = {}) {
  return new Promise((answer) => {
    const form = el("form", { method: "dialog" }, el("h2", { text: title, id: "question" }), words ? el("p", { text: words }) : null, fields);
    const dialog = el("dialog", { "aria-labelledby": "question" }, form);
    form.append(el("p", { class: "row" }, el("button", { value: "yes", text: yes, class: "main" }), el("button", { value: "no", text: "Leave it", formnovalidate: true })));
    dialog.addEventListener("close", () => {
      const given = Object.fromEntries(new FormData(form).entries());
      dialog.remove();
      answer(dialog.returnValue === "yes" ? given : null);
    });
    document.body.append(dialog);
    dialog.showModal();
  });
}
