// @ts-check
/**
 * What is pointed out on the curves: heavy and light point, stops with cylinders at reserve, what happens to cylinders.
 *
 * @import { Frame } from "./axes.js"
 * @import { Placer } from "./place.js"
 */

import { clock, number, signed, svg } from "./dom.js";
import { attr, heightAt, pool, say, show } from "./path.js";
import { Label, measure, put } from "./place.js";

/** A bracket is drawn at least so wide, px. */
const BRACKET_PX = 10;
/** Labels that are not needed are left out where they would hide something. */
const SPARE = 70;

export class Marks {
  /**
   * @param {Element} shapes
   * @param {Element} words
   */
  constructor(shapes, words) {
    this.net = svg("g", { "clip-path": "url(#pic-clip-marks)" });
    this.brackets = pool(this.net, () => svg("path", { class: "pic-bracket" }, svg("title")));
    this.heavy = svg("circle", { class: "pic-heavy", r: 5.5 });
    this.light = svg("circle", { class: "pic-light", r: 4.5 });
    this.events = pool(shapes, () => svg("g", { class: "pic-event", role: "img" }, svg("path"), svg("title")));
    this.net.append(this.heavy, this.light);
    shapes.append(this.net);
    this.labels = [new Label(words, "pic-point-name"), new Label(words, "pic-point-name")];
    this.limit = new Label(words, "pic-limit-name");
    this.load = new Label(words, "pic-load-name");
    const labels = (/** @type {string} */ name) => {
      /** @type {Label[]} */
      const all = [];
      return (/** @type {number} */ count) => {
        while (all.length < count) all.push(new Label(words, name));
        all.slice(count).forEach((label) => label.hide());
        return all.slice(0, count);
      };
    };
    this.stopNames = labels("pic-stop-name");
    this.eventNames = labels("pic-event-name");
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {boolean} isHidden
   * @param {Placer} placer
   * @param {{ depth: number[] }} points
   */
  draw(frame, dive, isHidden, placer, points) {
    show(this.net, !isHidden);
    this.#events(frame, dive, placer, points.depth);
    const bounds = frame.namesBox;
    if (isHidden) {
      for (const label of this.labels) label.hide();
      this.stopNames(0);
      this.#limit(frame, dive, placer);
    } else {
      this.#limit(frame, dive, placer);
      const spans = this.#brackets(frame, dive, placer);
      this.#points(frame, dive, placer, bounds);
      this.#stops(frame, dive, placer, bounds, spans);
    }
  }

  /**
   * The load on the way up, named where it is well apart from the net lift.
   * @param {Frame} frame
   * @param {Placer} placer
   * @param {{ bare: number[], load: number[] }} points
   */
  nameLoad(frame, placer, { bare, load }) {
    const gaps = [];
    for (let x = frame.left; x < frame.right; x += 10) gaps.push({ x, gap: Math.abs(heightAt(bare, x) - heightAt(load, x)) });
    const widest = Math.max(...gaps.map(({ gap }) => gap));
    const apart = gaps.filter(({ gap }) => gap >= 0.5 * widest);
    const places = [0.5, 0.25, 0.75].map((share) => {
      const { x } = apart[Math.floor(share * (apart.length - 1))];
      return { x, y: heightAt(load, x) };
    });
    const variants = [["least lift on the way straight up"], ["least on the way up"]];
    put(this.load, placer, "load", variants, places, frame.namesBox, frame.line, SPARE);
  }

  /**
   * Near the limit's line: at its end if there is room.
   * @param {Frame} frame
   * @param {any} dive
   * @param {Placer} placer
   */
  #limit(frame, dive, placer) {
    const { symbol, decimals } = dive.units.mass;
    const amount = `${number(dive.limit, decimals)} ${symbol}`;
    const y = Math.max(frame.netBox.top, Math.min(frame.net.at(-dive.limit), frame.netBox.bottom));
    const wide = frame.right - frame.left;
    const places = [0.93, 0.7, 0.45].map((share) => ({ x: frame.left + share * wide, y }));
    const name = dive.overhead.length ? "limit of the fins" : "swim-up limit";
    put(this.limit, placer, "limit", [[`${name} ${amount}`], [`limit ${amount}`]], places, frame.namesBox, frame.line);
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {Placer} placer
   * @param {import("./axes.js").Box} bounds
   */
  #points(frame, dive, placer, bounds) {
    const { mass, depth } = dive.units;
    const all = /** @type {const} */ ([["heavy point", dive.heavy, this.heavy], ["light point", dive.light, this.light]]);
    const places = all.map(([, point]) => ({ x: frame.x.at(point.time_s), y: frame.net.at(point.net) }));
    for (const [i, { x, y }] of places.entries()) {
      attr(all[i][2], "cx", x);
      attr(all[i][2], "cy", y);
      placer.keepBox({ left: x - 7, right: x + 7, top: y - 7, bottom: y + 7 });
    }
    all.forEach(([name, point], i) => {
      const value = `${signed(point.net, mass.decimals)} ${mass.symbol}`;
      const when = `${clock(point.time_s)} min, ${number(point.depth, 0)} ${depth.symbol}`;
      put(this.labels[i], placer, name, [[`${name} ${value}`, when], [`${name} ${value}`], [`${name.split(" ")[0]} ${value}`], [value]], places[i], bounds, frame.line);
    });
  }

  /**
   * Where the brackets of the stops lie.
   * @param {Frame} frame
   * @param {any} dive
   * @param {Placer} placer
   * @returns {{ left: number, right: number, y: number }[]}
   */
  #brackets(frame, dive, placer) {
    const spans = dive.stops.map((/** @type {any} */ stop) => {
      const [from, to] = [frame.x.at(stop.start_s), frame.x.at(stop.end_s)];
      const more = Math.max(0, 0.5 * (BRACKET_PX - (to - from)));
      return { left: from - more, right: to + more, y: frame.net.at(stop.at_reserve) };
    });
    for (const { left, right, y } of spans) placer.keepBox({ left, right, top: y - 5, bottom: y + 5 });
    return spans;
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {Placer} placer
   * @param {import("./axes.js").Box} bounds
   * @param {{ left: number, right: number, y: number }[]} spans
   */
  #stops(frame, dive, placer, bounds, spans) {
    const { symbol, decimals } = dive.units.mass;
    const nodes = this.brackets(dive.stops.length);
    const names = this.stopNames(dive.stops.length);
    // the last stop is named first: it has the best place
    const order = [...dive.stops.keys()].sort((a, b) => Number(dive.stops[b].is_last) - Number(dive.stops[a].is_last));
    for (const i of order) {
      const [stop, { left, right, y }] = [dive.stops[i], spans[i]];
      const amount = `${number(Math.abs(stop.at_reserve), decimals)} ${symbol}`;
      const says = stop.holds ? `${amount} to spare` : `floats, ${amount} too light`;
      attr(nodes[i], "d", `M${left} ${y - 5}v10m0 -5H${right}m0 -5v10`);
      attr(nodes[i], "class", stop.holds ? "pic-bracket" : "pic-bracket is-floating");
      const title = `${number(stop.depth, 0)} ${dive.units.depth.symbol}, cylinders at reserve: ${says}`;
      say(/** @type {Element} */ (nodes[i].firstElementChild), title);
      names[i].node.classList.toggle("is-floating", !stop.holds);
      const variants = stop.is_last ? [[`cylinders at reserve: ${says}`], ["cylinders at reserve", says], [`at reserve: ${says}`], ["at reserve", says], [says]] : [[says]];
      // a label wider than its bracket would seem to belong to the next one
      const isWide = right - left + 24 > measure(says, true);
      if (!stop.is_last && !isWide && !stop.holds) variants.splice(0, 1, ["floats"]);
      if (!stop.is_last && !isWide && stop.holds) names[i].hide();
      else put(names[i], placer, `stop ${i}`, variants, [left, 0.5 * (left + right), right].map((x) => ({ x, y })), bounds, frame.line, stop.is_last ? Infinity : SPARE);
    }
  }

  /**
   * @param {Frame} frame
   * @param {any} dive
   * @param {Placer} placer
   * @param {number[]} line
   */
  #events(frame, dive, placer, line) {
    const nodes = this.events(dive.events.length);
    const names = this.eventNames(dive.events.length);
    dive.events.forEach((/** @type {any} */ event, /** @type {number} */ i) => {
      const at = { x: frame.x.at(event.time_s), y: heightAt(line, frame.x.at(event.time_s)) };
      const [shape, title] = nodes[i].children;
      attr(shape, "d", glyph(event.kind, at));
      const words = `${clock(event.time_s)} ${event.text}`;
      say(title, words);
      attr(nodes[i], "aria-label", words);
      placer.keepBox({ left: at.x - 5, right: at.x + 5, top: at.y - 12, bottom: at.y + 12 });
      // the first words say what; the title says all
      const [short] = event.text.split(/ at |[:;,]/);
      put(names[i], placer, `event ${i}`, [[short]], at, frame.depthBox, frame.line, SPARE);
    });
  }
}

/**
 * A tick with an arrow away from the diver (left behind), towards the diver (taken), or none.
 * @param {string} kind
 * @param {{ x: number, y: number }} at
 */
function glyph(kind, { x, y }) {
  const tick = `M${x} ${y - 9}v18`;
  if (/leave|hand/.test(kind)) return `${tick}m-4 -5l4 6l4 -6`;
  if (/take|receive/.test(kind)) return `${tick}m-4 -13l4 -6l4 6`;
  return `${tick}m-4 0h8m-8 -18h8`;
}
