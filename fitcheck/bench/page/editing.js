// What is being changed on a design: its text, what was changed since, undo, and the newest verdict.
//
// The text of the file is all there is. A change is sent with the text that it was made on; the
// answer is the new text with its verdict. One question is on its way at a time, and the next one
// carries everything that was typed meanwhile, so nothing queues behind quick fingers.

import { PAGE, Refused, drafts, get, post } from "./ask.js";
import { draftKey } from "./tab.js";

const SLOW_MS = 300;
const TOGETHER_MS = 1200;

// Of two changes of one place only the newer counts, unless both step it.
function replaces(one, other) {
  return String(other.at) === String(one.at) && ((one.value !== undefined && other.value !== undefined) || (one.mm !== undefined && other.mm !== undefined));
}

// Whether every length is written anew by a change.
function anew({ at, to_marks: toMarks }) { return toMarks || String(at) === "unit"; }

export class Editing {
  constructor(kept, heard) {
    this.kept = kept;
    this.text = kept.text;
    this.look = null;
    this.pending = [];
    this.undone = [];
    this.done = [];
    this.heard = heard;
    this.number = 0;
    this.epoch = 0;
    this.shown = 0;
    this.going = 0;
    this.mark = { key: "", at: 0 };
    this.away = false;
  }

  get name() { return this.kept.name; }

  get changed() { return this.text !== this.kept.text || this.pending.length > 0; }

  draft() { return { name: this.name, text: this.text, changes: [] }; }

  // Changes at places of the file: { at, value | step | mm | remove | table | to_marks }.
  change(...changes) {
    for (const one of changes) {
      // what was typed before another unit was chosen is read in the old one
      const from = this.pending.findLastIndex(anew) + 1;
      const last = this.pending.findIndex((other, k) => k >= from && replaces(one, other));
      if (last >= 0) this.pending[last] = one;
      else this.pending.push(one);
    }
    this.key = String(changes[0].at);
    this.ask();
  }

  // A whole other text, as undo, a suggestion or the file itself give it.
  put(text, { remember = true } = {}) {
    if (remember) this.remember("");
    this.text = text;
    this.pending = [];
    this.epoch += 1;
    this.ask({ anyway: true });
  }

  // Undo goes back to how it was before what was typed in one go.
  remember(key) {
    const now = performance.now();
    const together = key && key === this.mark.key && now - this.mark.at < TOGETHER_MS;
    this.mark = { key, at: now };
    if (together) return;
    this.done.push(this.text);
    if (this.done.length > 200) this.done.shift();
    this.undone = [];
  }

  undo() {
    if (!this.done.length) return false;
    this.undone.push(this.text);
    this.mark = { key: "", at: 0 };
    this.put(this.done.pop(), { remember: false });
    return true;
  }

  redo() {
    if (!this.undone.length) return false;
    this.done.push(this.text);
    this.mark = { key: "", at: 0 };
    this.put(this.undone.pop(), { remember: false });
    return true;
  }

  async ask({ anyway = false } = {}) {
    this.unsettled();
    const waits = this.going && performance.now() - this.since < SLOW_MS && !anyway;
    if (waits) { this.again = true; return; }
    this.again = false;
    const mine = (this.number += 1);
    const sent = [...this.pending];
    const { text: before, epoch } = this;
    this.going += 1;
    this.since = performance.now();
    let found = null;
    try {
      found = await post("/api/look", { page: PAGE, draft: { name: this.name, text: before, changes: sent } });
    } catch (error) {
      found = { refused: error instanceof Refused ? error.problems : [{ key: "", text: error.message }], gone: error.gone };
    }
    this.going -= 1;
    if (!found.superseded && mine > this.shown && this.epoch === epoch) {
      this.shown = mine;
      this.away = Boolean(found.gone);
      if (found.gone) {
        this.again = false; // it goes with the next
        this.keepDraft();
      } else if (found.refused) {
        // a change that no file can hold is let go
        this.pending = this.pending.filter((one) => !sent.includes(one));
      } else {
        found.before = before;
        if (found.text !== this.text) this.remember(this.key);
        this.text = found.text;
        this.pending = this.pending.filter((one) => !sent.includes(one));
        this.look = found;
        this.keepDraft();
      }
      if (!this.again) this.heard(found, sent);
    }
    if (!this.going && !found.gone && (this.again || this.pending.length)) this.ask();
    else if (!this.going) this.settled();
  }

  // Nothing is on its way any more.
  settled() {}

  unsettled() {}

  keepDraft() {
    if (!this.changed) drafts.drop(draftKey(this.name));
    else drafts.put(draftKey(this.name), { text: this.text, version: this.kept.version, ...(this.pending.length ? { changes: this.pending } : {}) });
  }

  // Writes the file; where it was changed elsewhere meanwhile, `{ there }` says what it holds.
  async save({ over = null } = {}) {
    const saved = this.text;
    try {
      this.kept = await post("/api/save", { name: this.name, text: saved, version: over || this.kept.version });
    } catch (error) {
      if (error.data && error.data.changed) return { there: error.data.there };
      throw error;
    }
    this.keepDraft();
    return {};
  }

  // Whether the file holds something else than was read; what it holds then.
  async elsewhere() {
    const { kept } = this;
    const there = await get(`/api/design/${encodeURIComponent(this.name)}`);
    return kept !== this.kept || there.version === kept.version ? null : there; // it may have been saved meanwhile
  }

  take(kept) {
    this.kept = kept;
    drafts.drop(draftKey(kept.name));
    if (this.text !== kept.text) this.put(kept.text);
  }
}
