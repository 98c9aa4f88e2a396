// What the terminal says of a box that was made, in words of the form and beside the blank that is meant.

// Each: of which blank, what the terminal says, what the page says, and the blank it stands at if not that one.
const SAID = [
  ["play", /a lid that (.*) has no room for ([^;]*);/, (lid, room) => `a lid that ${lid} has no room for ${room}: leave this empty and write only the smallest plug that did not go in, or choose above that it slid on`],
  ["play", /a loose lid has play;/, () => "a loose lid has play: measure it again, or leave this empty"],
  ["play", /the smaller plug first/, () => "this plug went in, so it is smaller than the one that did not: write the smaller one here"],
  ["play", /allowed: (0 to .* mm);/, (range) => `play is from ${range}: measure it again`],
  ["play", /in which '([^']*)' has no unit/, (part) => `write its unit, ${part} in if inches are meant, or the millimetres`, at],
  ["play", /which (is|has|divides) (.*)$/, (verb, rest) => `this ${verb} ${rest}`, odd],
  ["right", /a right box takes its contents;/, () => "a right box takes its contents, and this one did not: choose no here, or yes there"],
  ["right", /and (a lid that .* is wanted);/, (why) => `${why}: choose no here, or something else of the lid`],
  ["sink", /and a lid that has to be pushed does not sink;/, () => "a lid that has to be pushed does not sink: empty the times, or choose above that it slid on or was loose"],
  ["before", /without times of the same kind/, () => "there is no time of the same kind after the change: time the lid again in the same way, and write it above"],
];

// The plug that holds what was read.
function at({ go }, part) { return go.trim() === part ? "go" : "nogo"; }

// The plug that holds no number.
function odd({ go, nogo }) { return /\d/.test(go) && !/^[\d.,/ ]+\s*(mm|cm|in|pt)?$/.test(nogo.trim()) ? "nogo" : "go"; }

// A problem as the page says it; of plugs, at the one that is meant.
export function asThePage({ key, text }, draft) {
  for (const [of, said, words, where] of SAID) {
    const found = of === key && said.exec(text);
    if (!found) continue;
    const plugs = key === "play" && !draft.play.trim();
    return { key: plugs ? (where ? where(draft, found[1]) : "go") : key, text: words(...found.slice(1)) };
  }
  return { key: key === "play" && !draft.play.trim() ? "go" : key, text };
}
