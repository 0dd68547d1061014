// @ts-check
/** What was typed and is not yet used: in session storage, so that it survives a reload and no other tab sees it. */

const PREFIX = "lightpoint-bench-";

/** Another page in the same tab has other drafts: they go by the plan that came with the page. */
function prefix() {
  const sent = document.getElementById("plan")?.textContent ?? "";
  let sum = 0;
  for (let i = 0; i < sent.length; i += 1) sum = (Math.imul(sum, 31) + sent.charCodeAt(i)) | 0;
  return `${PREFIX}${(sum >>> 0).toString(36)}-`;
}

/** The text in the plan's editor, and the one that it took the place of. */
export const PLAN = "plan-draft";
export const PLAN_BEFORE = "plan-draft-before";

/** Where the browser gives no storage: at least as long as the page is open. */
const memory = /** @type {Map<string, string>} */ (new Map());

/**
 * @param {string} key
 * @param {unknown} value anything that JSON holds; `null` forgets it
 */
export function remember(key, value) {
  const text = value === null || value === undefined ? null : JSON.stringify(value);
  if (text === null) memory.delete(key);
  else memory.set(key, text);
  try {
    if (text === null) sessionStorage.removeItem(prefix() + key);
    else sessionStorage.setItem(prefix() + key, text);
  } catch {
    // no storage, or full: the copy in memory stays
  }
}

/**
 * @param {string} key
 * @returns {any} what was remembered, or `null`
 */
export function recall(key) {
  try {
    const text = memory.get(key) ?? sessionStorage.getItem(prefix() + key);
    return text === null ? null : JSON.parse(text);
  } catch {
    return null;
  }
}

/**
 * Lays a text into the plan's editor for its next opening, such as a dropped plan with problems. What was being written
 * before can be brought back.
 * @param {{ name: string, text: string }} plan
 * @param {string} base the plan of the picture, beside which it was written
 */
export function layDraft(plan, base) {
  const old = recall(PLAN);
  if (old && old.text !== plan.text) remember(PLAN_BEFORE, old);
  remember(PLAN, { ...plan, base });
}

/**
 * The draft that belongs to a plan. One that was written beside another plan makes way, and can be brought back.
 * @param {string} base
 * @returns {{ name: string, text: string } | null}
 */
export function draftOf(base) {
  const draft = recall(PLAN);
  if (!draft || draft.base === base) return draft;
  remember(PLAN_BEFORE, draft);
  remember(PLAN, null);
  return null;
}

/**
 * Calls the last of many calls, after a rest.
 * @param {number} rest_ms
 * @param {() => void} act
 */
export function afterRest(rest_ms, act) {
  let timer = 0;
  return {
    soon() {
      clearTimeout(timer);
      timer = setTimeout(act, rest_ms);
    },
    now() {
      clearTimeout(timer);
      act();
    },
    stop() {
      clearTimeout(timer);
    },
  };
}
