// Which tab this is, and what of a design was typed in it, or left by one that is shut.

import { drafts } from "./ask.js";

const SAID = "tab";

// A tab keeps its name over a reload; a doubled one takes another, as the first holds the lock.
const TAB = await named();

async function named() {
  let before = null;
  try { before = sessionStorage.getItem(SAID); } catch { /* it has none */ }
  const mine = (before && (await held(before))) || (await held(String(Math.random()).slice(2)));
  try { sessionStorage.setItem(SAID, mine); } catch { /* a reload is another tab then */ }
  return mine;
}

function held(name) {
  if (!navigator.locks) return Promise.resolve(name);
  return new Promise((answer) => {
    navigator.locks.request(lockOf(name), { ifAvailable: true }, (lock) => {
      answer(lock ? name : null);
      return lock ? new Promise(() => {}) : null; // as long as the page is there
    }).catch(() => answer(name));
  });
}

function lockOf(name) { return `fitcheck tab ${name}`; }

// What a design's draft of this tab is kept under; no design has a space in its name.
export function draftKey(name) { return `${name} @${TAB}`; }

// Takes over the newest draft of a design that is this tab's or that no open tab has; null for none.
export async function leftBehind(name) {
  await drafts.load().catch(() => {});
  const own = draftKey(name);
  const found = drafts.get(own);
  if (found) return found;
  const open = navigator.locks ? (await navigator.locks.query()).held.map((lock) => lock.name) : [];
  const left = drafts.names().filter((key) => key === name || (key.startsWith(`${name} @`) && !open.includes(lockOf(key.slice(name.length + 2)))));
  if (!left.length) return null;
  const newest = left[left.length - 1];
  const data = drafts.get(newest);
  drafts.put(own, data);
  drafts.drop(newest);
  return data;
}
