// What is wrong with the letters on the page as it is laid out now: cut, over one another, out of the window.
// A list of sentences; empty if all is well. For `sizes.rs`.
(() => {
  const found = [];
  // for screen readers alone: in a box of a pixel
  const isForEars = (e) => {
    for (let around = e; around; around = around.parentElement) {
      if (around.closest("svg") || getComputedStyle(around).overflow === "visible") continue;
      const box = around.getBoundingClientRect();
      if (box.width <= 2 && box.height <= 2) return true;
    }
    return false;
  };
  const shown = (e) => e.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && !isForEars(e);
  const short = (text) => text.trim().replace(/\s+/g, " ").slice(0, 40);
  // a pixel: sizes are rounded to whole ones by the properties that are asked here
  const SLACK = 1.5;

  // every run of letters with the box that holds it
  const runs = [];
  const root = document.querySelector("dialog[open]") ?? document.querySelector("#bench");
  const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const parent = node.parentElement;
    if (!node.textContent.trim() || !shown(parent) || parent.closest("option, title, desc, script, style")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of parent.closest("svg") ? [parent.getBoundingClientRect()] : range.getClientRects()) {
      if (box.width > 0.5 && box.height > 0.5) runs.push({ text: short(node.textContent), parent, box });
    }
  }

  // a long name that ends in dots, with all of it beside the pointer: names are the reader's own, and as long as may be
  const LONG = 24;
  const endsInDots = (e, text) => getComputedStyle(e).textOverflow === "ellipsis" && text.length > LONG && e.closest("[title]") !== null;
  for (const run of runs) {
    for (let around = run.parent; around && around !== document.documentElement; around = around.parentElement) {
      run.dots ||= endsInDots(around, run.text);
    }
  }

  // cut by a box around it that does not scroll
  for (const { text, parent, box, dots } of runs) {
    for (let around = dots ? null : parent; around && around !== document.documentElement; around = around.parentElement) {
      const style = getComputedStyle(around);
      const edge = around.getBoundingClientRect();
      const cutsX = ["hidden", "clip"].includes(style.overflowX) && around.tagName !== "text";
      const cutsY = ["hidden", "clip"].includes(style.overflowY) && around.tagName !== "text";
      if (["auto", "scroll"].includes(style.overflowX) || ["auto", "scroll"].includes(style.overflowY)) break;
      if (cutsX && (box.left < edge.left - SLACK || box.right > edge.right + SLACK)) found.push(`cut at a side: “${text}”`);
      // letters are lower than their line: a quarter of the line may lie outside
      const low = 0.25 * box.height;
      if (cutsY && (box.top < edge.top - low || box.bottom > edge.bottom + low)) found.push(`cut above or below: “${text}”`);
    }
  }

  // wider than its own box
  for (const e of root.querySelectorAll("*")) {
    const own = [...e.childNodes].some((child) => child.nodeType === 3 && child.textContent.trim());
    if (!own || !shown(e) || e.closest("svg, textarea, select, pre") || getComputedStyle(e).display === "inline") continue;
    if (["auto", "scroll"].includes(getComputedStyle(e).overflowX) || endsInDots(e, e.textContent)) continue;
    if (e.scrollWidth > e.clientWidth + SLACK && e.clientWidth > 0) found.push(`wider than its place by ${e.scrollWidth - e.clientWidth} px: “${short(e.textContent)}”`);
  }
  for (const input of root.querySelectorAll("input:not([type=range], [type=radio], [type=checkbox]), textarea")) {
    if (shown(input) && input.tagName === "INPUT" && input.scrollWidth > input.clientWidth + SLACK) found.push(`a field too small for “${input.value}”`);
  }

  // from here on what is seen of it
  const clipped = (box, parent) => {
    let { left, right, top, bottom } = box;
    for (let around = parent; around && !around.closest("svg"); around = around.parentElement) {
      if (getComputedStyle(around).overflow === "visible" || around === document.documentElement) continue;
      const edge = around.getBoundingClientRect();
      [left, right, top, bottom] = [Math.max(left, edge.left), Math.min(right, edge.right), Math.max(top, edge.top), Math.min(bottom, edge.bottom)];
    }
    return { left, right, top, bottom, height: bottom - top };
  };
  for (const run of runs) run.box = clipped(run.box, run.parent);

  // over one another: in both ways by more than a fifth of the lower line, since boxes of lines reach beyond the letters
  for (let i = 0; i < runs.length; i++) {
    for (let j = i + 1; j < runs.length; j++) {
      const [a, b] = [runs[i], runs[j]];
      if (a.parent.contains(b.parent) || b.parent.contains(a.parent)) continue;
      const wide = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left);
      const high = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top);
      const fifth = 0.2 * Math.min(a.box.height, b.box.height);
      if (wide > SLACK && high > Math.max(SLACK, fifth)) {
        // something laid over the page on purpose hides what is under it
        const at = document.elementFromPoint(Math.max(a.box.left, b.box.left) + wide / 2, Math.max(a.box.top, b.box.top) + high / 2);
        const layer = at && at.closest("[popover], .is-over");
        if (layer && layer.contains(a.parent) !== layer.contains(b.parent)) continue;
        found.push(`over one another by ${wide.toFixed(0)} × ${high.toFixed(0)} px: “${a.text}” and “${b.text}”`);
      }
    }
  }

  // out of the picture or the window at a side
  const width = document.documentElement.clientWidth;
  for (const { text, parent, box } of runs) {
    const picture = parent.closest("svg")?.getBoundingClientRect();
    const [left, right] = picture ? [picture.left, picture.right] : [0, width];
    if (parent.closest("svg") && (box.left < left - SLACK || box.right > right + SLACK)) found.push(`out of the picture: “${text}”`);
    else if (!parent.closest("svg") && box.right > width + SLACK) found.push(`out of the window: “${text}”`);
  }
  return [...new Set(found)];
})()
