// The blanks of a design: what the file says, to be typed over or stepped along the board's grooves.

import { button, choices, el, fill, hint } from "./dom.js";

const LENGTHS = new Set(["length", "pair"]);

export class Fields {
  constructor(place, known, edit) {
    this.place = place;
    this.known = known;
    this.edit = edit;
    this.shape = "";
    this.asked = new Set();
    this.controls = new Map();
  }

  // Shows a form; what is being typed in is not touched, unless it was stepped or the text is another.
  show(form, problems, sent = [], anew = false) {
    const shape = JSON.stringify([form.groups.map((group) => [group.name, group.fields.map(({ key, kind, choices: own }) => [key, kind, own])]), [...this.asked]]);
    if (shape !== this.shape) {
      this.shape = shape;
      this.build(form);
    }
    const stepped = new Set(sent.filter((one) => one.value === undefined).map((one) => String(one.at)));
    for (const group of form.groups) for (const field of [...group.fields, ...group.more]) this.update(field, stepped, anew);
    this.mark(problems);
    this.form = form;
  }

  build(form) {
    const typing = document.activeElement && this.place.contains(document.activeElement) ? document.activeElement : null;
    const kept = typing && { id: typing.id, value: typing.value, caret: typing.selectionStart };
    this.controls = new Map();
    fill(this.place, form.groups.map((group) => this.group(group)), this.adding(form));
    const next = this.next && document.getElementById(this.next);
    if (next) {
      this.next = null;
      next.focus();
      return;
    }
    const again = kept && kept.id && document.getElementById(kept.id);
    if (!again) return;
    again.focus();
    if (again.type !== "text") return;
    again.value = kept.value;
    again.setSelectionRange(kept.caret, kept.caret);
  }

  group(group) {
    const whole = group.name === "the whole box";
    const title = group.name.charAt(0).toUpperCase() + group.name.slice(1);
    const of = whole ? { id: "", word: "" } : { id: `${idOf(group.name)}-part`, word: `${title} ` };
    const shown = [...group.fields, ...group.more.filter((field) => this.asked.has(field.key))];
    const rest = group.more.filter((field) => !this.asked.has(field.key));
    const lines = shown.map((field) => this.line(field, !group.fields.includes(field) || !field.needed, of));
    const more = rest.length ? this.more(group, rest) : null;
    const gone = group.may_go && group.at.length ? button(`Take ${theOf(group)} away`, () => this.edit({ at: group.at, remove: true }), { class: "small" }) : null;
    const body = [lines, el("p", { class: "row" }, more, gone)];
    if (whole) return el("details", { class: "group" }, el("summary", {}, el("h3", { text: title })), body);
    return el("section", { class: "group", "aria-label": title }, el("h3", { text: title, id: of.id }), body);
  }

  // What may be said besides, chosen from a list.
  more(group, rest) {
    const made = choices([{ value: "", words: "say more" }, ...rest.map(({ key, label }) => ({ value: key, words: label }))], "", { "aria-label": `Say more of ${theOf(group)}`, class: "small" });
    return adder(made, `Say it of ${theOf(group)}`, (key) => {
      this.asked.add(key);
      this.build(this.form);
      this.show(this.form, []);
      this.controls.get(key)?.inputs[0].focus();
    });
  }

  adding(form) {
    const items = this.known.items.map(({ name }) => name);
    const content = choices([{ value: "", words: "put something in" }, ...items], "", { "aria-label": "Put something in" });
    const parts = choices([{ value: "", words: "add a part" }, ...form.parts_to_add.flatMap(([place, words, styles]) => styles.map((style) => ({ value: `${place} ${style}`, words: styles.length > 1 ? `${words}: ${style}` : words })))], "", { "aria-label": "Add a part" });
    const lines = form.groups.filter((group) => group.at[0] === "content").length;
    const putIn = (item) => { this.next = idOf(`content[${lines + 1}].count`); this.edit({ at: ["content"], table: { item, count: "1" } }); };
    const addPart = (chosen) => {
      const [place, style] = chosen.split(" ");
      const base = form.groups.find((group) => group.name === "base");
      const paper = base?.fields.find((field) => field.key === "base.stock")?.values[0] || this.known.papers[0].name;
      this.next = idOf(`${place}.style`);
      this.edit({ at: [place], table: { style, stock: paper } });
    };
    return el("div", { class: "adding" }, el("p", {}, adder(content, "Put it in", putIn)), el("p", {}, adder(parts, "Add the part", addPart)));
  }

  line(field, optional, of) {
    const inputs = this.inputs(field, of);
    const trouble = el("p", { class: "trouble", id: `${idOf(field.key)}-trouble`, hidden: true });
    const label = el(inputs.length > 1 ? "span" : "label", { class: "label", text: field.label, id: `${idOf(field.key)}-label`, ...(inputs.length > 1 ? {} : { for: inputs[0].id }) });
    const away = optional ? button("×", () => { this.asked.delete(field.key); if (field.values.length) this.edit({ at: field.at, remove: true }); else { this.build(this.form); this.show(this.form, []); } }, { class: "small", "aria-label": `Leave out: ${of.word}${field.label}` }) : null;
    if (away) fill(away, el("span", { title: "leave it out", "aria-hidden": "true", text: "×" })); // not said twice
    const blanks = el("span", { class: "blanks", ...(inputs.length > 1 ? { role: "group", "aria-labelledby": `${idOf(field.key)}-label` } : {}) }, inputs.map((input, k) => [k && field.kind === "pair" ? el("span", { class: "by", "aria-hidden": "true", text: "×" }) : null, this.stepped(field, input, k, of)]).flat());
    this.controls.set(field.key, { inputs, trouble, field });
    return el("div", { class: "line" }, label, el("span", {}, blanks, trouble), el("span", { class: "row tight" }, away, hint(`${of.word}${field.label}`, field.help)));
  }

  // The controls of a field, one for each of its values.
  inputs(field, of) {
    const id = idOf(field.key);
    const named = (label) => ({ "aria-labelledby": `${of.id} ${label}`.trim() }); // of which part
    const lists = { paper: this.known.papers, board: this.known.boards, item: this.known.items };
    if (lists[field.kind]) {
      const made = choices(["", ...new Set([...lists[field.kind].map(({ name }) => name), ...field.values])].map(chosen), field.values[0] || "", { id, ...named(`${id}-label`) });
      made.addEventListener("change", () => this.edit({ at: field.at, value: made.value }));
      return [made];
    }
    if (field.kind === "choice") {
      const made = choices([...new Set(["", ...field.choices, ...field.values])].map(chosen), field.values[0] || "", { id, ...named(`${id}-label`) });
      made.addEventListener("change", () => this.edit({ at: field.at, value: made.value }));
      return [made];
    }
    if (field.kind === "choices") {
      return field.choices.map((choice) => {
        const made = el("input", { type: "checkbox", id: `${id}-${choice}`, "aria-label": choice, value: choice, checked: field.values.includes(choice) });
        made.addEventListener("change", () => this.edit({ at: field.at, value: field.choices.filter((one) => document.getElementById(`${id}-${one}`).checked) }));
        return made;
      });
    }
    const sides = field.kind === "pair" ? [0, 1] : [null];
    return sides.map((k) => {
      const at = k === null ? field.at : [...field.at, k];
      const made = el("input", { id: k === null ? id : `${id}-${k}`, type: "text", autocomplete: "off", spellcheck: "false", class: LENGTHS.has(field.kind) || field.kind === "number" ? "short" : "long", "aria-describedby": `${id}-trouble`, ...named(k === null ? `${id}-label` : `${id}-${k}-label`), value: field.values[k || 0] || "", ...(field.kind === "number" ? { inputmode: "numeric" } : {}) });
      made.addEventListener("input", () => this.edit({ at, value: made.value }));
      if (LENGTHS.has(field.kind) || field.kind === "number") {
        made.addEventListener("keydown", (event) => {
          const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
          if (!way || event.altKey || event.ctrlKey || event.metaKey) return;
          event.preventDefault();
          this.step(field, at, made, way, event.shiftKey);
        });
      }
      return made;
    });
  }

  step(field, at, input, way, fine = false) {
    if (LENGTHS.has(field.kind)) this.edit({ at, step: way, fine });
    else {
      input.value = String(Math.max(0, (Number(input.value) || 0) + way));
      this.edit({ at, value: input.value });
    }
  }

  // An input with a shorter and a longer beside it.
  stepped(field, input, k, of) {
    if (field.kind === "choices") return el("label", { class: "tick" }, input, ` ${input.value}`);
    if (!LENGTHS.has(field.kind) && field.kind !== "number") return input;
    const at = field.kind === "pair" ? [...field.at, k] : field.at;
    const own = field.kind === "pair" ? `${field.label}, ${field.sides[k]}` : field.label;
    const said = `${of.word}${own}`;
    const words = LENGTHS.has(field.kind) ? ["shorter", "longer"] : ["fewer", "more"];
    const name = field.kind === "pair" ? el("span", { hidden: true, id: `${input.id}-label`, text: own }) : null;
    const side = field.kind === "pair" ? el("span", { class: "side quiet", "aria-hidden": "true", text: field.sides[k] }) : null;
    return el("span", { class: "stepped" }, name, button("−", (event) => this.step(field, at, input, -1, event.shiftKey), { class: "small", "aria-label": `${said}: ${words[0]}`, tabindex: "-1" }), input, button("+", (event) => this.step(field, at, input, 1, event.shiftKey), { class: "small", "aria-label": `${said}: ${words[1]}`, tabindex: "-1" }), side);
  }

  update(field, stepped, anew) {
    const own = this.controls.get(field.key);
    if (!own) return;
    own.field = field;
    own.inputs.forEach((input, k) => {
      if (input.type === "checkbox") { input.checked = field.values.includes(input.value); return; }
      const at = String(field.kind === "pair" ? [...field.at, k] : field.at);
      if (document.activeElement === input && !anew && !stepped.has(at)) return;
      const value = field.values[k] || "";
      if (input.value !== value) input.value = value;
    });
  }

  // Puts each problem beside what it is about; returns those that are about nothing here.
  mark(problems) {
    const left = [];
    const found = new Map();
    for (const problem of problems) {
      const key = [problem.key, problem.key.replace(/\[\d+\]$/, "")].find((one) => this.controls.has(one));
      if (key) found.set(key, [...(found.get(key) || []), problem.text]);
      else left.push(problem);
    }
    for (const [key, { inputs, trouble }] of this.controls) {
      const said = found.get(key);
      trouble.hidden = !said;
      trouble.textContent = said ? said.join("; ") : "";
      for (const input of inputs) {
        if (said) input.setAttribute("aria-invalid", "true");
        else input.removeAttribute("aria-invalid");
      }
    }
    this.left = left;
    return left;
  }
}

// A list to choose from and a button that does it: keys only choose.
function adder(list, words, chosen) {
  return el("span", { class: "adder" }, list, button("Add", () => { if (list.value) chosen(list.value); }, { class: "small", "aria-label": words }));
}

function theOf({ name }) {
  return /^the | \d+$/.test(name) ? name : `the ${name}`;
}

// A blank in a list says what is to be done.
function chosen(value) {
  return { value, words: value || "choose" };
}

function idOf(key) {
  return `in-${key.replace(/[^A-Za-z0-9]+/g, "-")}`;
}
