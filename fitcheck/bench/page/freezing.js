// Freezes what is forecast of a box, before it is made.

import { command } from "./ask.js";
import { button, el, fill, labelled, linesOf, say, troubles } from "./dom.js";
import { beside, problemsOf } from "./loop.js";

export function freezing(name, known, papers, renewed) {
  const humidity = el("input", { autocomplete: "off", placeholder: "40 to 60" });
  const answer = el("div", { class: "answer" });
  const progress = el("div");
  const own = known.forecasts.filter((one) => one.design === name && !one.wrong);
  const freeze = button("Freeze the forecast", begin, { class: own.length ? "" : "main" });
  const list = own.length ? el("ul", {}, own.map((one) => el("li", {}, el("strong", { text: one.name }), `, frozen on ${one.frozen}: ${one.words}`))) : el("p", { text: "No forecast of this box is frozen. A box counts in the score only if its forecast was frozen before it was made." });
  const node = el("section", { class: "sheet frozen" }, el("h2", { text: "Before it is made: the forecast" }), list, labelled("Damp of the air, least and most", humidity, { help: "Relative humidity in percent between folding and use, such as 40 to 60. Left out, paper stays as it was measured." }), el("p", { class: "row" }, freeze), progress, answer);
  let going = null;
  let leaving = false;

  async function begin() {
    beside(humidity, "");
    fill(answer);
    const air = airOf(humidity.value);
    if (air.problem) {
      wrong([{ key: "humidity", text: air.problem }]);
      humidity.focus();
      return;
    }
    freeze.disabled = true;
    const words = el("span", { text: "counting boxes" });
    const bar = el("progress", { "aria-label": "counting boxes" });
    fill(progress, el("p", { class: "row" }, bar, words, button("Stop", () => going?.stop())));
    try {
      const given = { design: name, stock: papers.given() };
      if (air.text) given.humidity = air.text;
      going = await command("forecast", given, (event) => {
        if (event.kind !== "step") return;
        words.textContent = event.text || "counting boxes";
        if (event.total) Object.assign(bar, { max: event.total, value: event.done });
      });
      const ended = await going.over;
      if (leaving) return;
      if (ended.kind === "done") {
        say("The forecast is frozen");
        await renewed({ place: "frozen", node: told(ended.text) });
        return;
      }
      wrong(ended.kind === "stopped" ? [{ key: "", text: "stopped: nothing was frozen" }] : problemsOf(ended.lines));
    } catch (error) {
      wrong(linesOf(error));
    } finally {
      freeze.disabled = false;
      fill(progress);
    }
  }
  function wrong(told) {
    const problems = papers.show(told);
    const rest = problems.filter(({ key, text }) => {
      if (key === "humidity") beside(humidity, text);
      return key !== "humidity";
    });
    fill(answer, rest.length ? troubles(rest) : null);
    say(problems.map(({ text }) => text).join("; "));
  }
  return { node, leave: () => { leaving = true; going?.leave(); } };
}

// The least and the most humidity as the program reads them, { text }, or what to write, { problem }.
function airOf(said) {
  if (!said.trim()) return { text: "" };
  const found = /^(\d+(?:[.,]\d+)?)\s*%?\s*(?:to|[-–:])\s*(\d+(?:[.,]\d+)?)\s*%?$/i.exec(said.trim());
  if (!found) return { problem: "write the least and the most in percent, such as 40 to 60" };
  const [low, high] = found.slice(1).map((one) => one.replace(",", "."));
  if (Number(high) > 100) return { problem: "damp goes up to 100 percent: write less" };
  if (Number(low) > Number(high)) return { problem: `the least comes first: write ${high} to ${low}` };
  if (Number(low) === Number(high)) return { problem: "the air is never one and the same: write two numbers, such as 40 to 60" };
  if (Number(high) <= 1) return { problem: "no air is as dry as that: write percent, such as 40 to 60" };
  return { text: `${low}:${high}` };
}

// What the command said, without what is typed next in a terminal and where the workspace lies.
export function told(text) {
  const lines = text.split("\n").filter((line) => line.trim() && !line.includes("fitcheck record"));
  const head = (lines.shift() || "").replace(/ in \S.*?([\w.-]+\.(?:csv|json))$/, " in $1");
  const rows = [];
  for (const line of lines) {
    const [, label, words] = /^ {2}(\S.*?) {2,}(.*)$/.exec(line) || [null, "", line.trim()];
    if (label || !rows.length) rows.push([label, words]);
    else rows.at(-1)[1] += ` ${words}`;
  }
  return el("div", { class: "told" }, el("p", { text: head }), el("dl", {}, rows.map(([label, words]) => [el("dt", { text: label }), el("dd", { text: words })]).flat()));
}
