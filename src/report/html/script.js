"use strict";
// The slider, the pointer on the figure, and the panel of the moment. Without this script the page says all the rest.
(function () {
  const data = JSON.parse(document.getElementById("moments").textContent);
  const rows = data.rows;
  const at = Object.fromEntries(data.columns.map((name, i) => [name, i]));
  const byId = (id) => document.getElementById(id);
  const slider = byId("time");
  const svgs = Array.from(document.querySelectorAll("#figure svg"));
  const endS = rows[rows.length - 1][at.time_s];
  let now = -1;

  // numbers as the rest of the page writes them: fixed decimals, a true minus, no negative zero
  function fixed(value, decimals) {
    const text = Math.abs(value).toFixed(decimals);
    return value < 0 && /[1-9]/.test(text) ? "−" + text : text;
  }
  function signed(value, decimals) {
    const text = fixed(value, decimals);
    return /^−/.test(text) || !/[1-9]/.test(text) ? text : "+" + text;
  }
  const withUnit = (kind, value) => fixed(value, data.units[kind][1]) + " " + data.units[kind][0];
  const withSign = (kind, value) => signed(value, data.units[kind][1]) + " " + data.units[kind][0];
  function clock(seconds) {
    const whole = Math.round(seconds);
    return Math.floor(whole / 60) + ":" + String(whole % 60).padStart(2, "0");
  }
  // as the figure says it: minutes, or hours on a long dive
  const moment = (seconds) => (data.inHours ? clock(seconds / 60) + " h" : clock(seconds) + " min");
  const spokenMoment = (seconds) => (data.inHours ? clock(seconds / 60) + " hours" : clock(seconds) + " minutes");
  function show(id, text) {
    const element = byId(id);
    if (element) element.textContent = text;
  }

  // a verdict, with a mark where it is a breach
  function tell(id, found) {
    show(id, (found.ok ? "" : "! ") + found.text);
    byId(id).parentElement.classList.toggle("beyond", !found.ok);
  }

  // whether there is no way straight up at a row
  const isUnder = (row) => data.overheads.some(([from, until]) => row[at.time_s] >= from && row[at.time_s] <= until);

  // what a failed wing would mean at a row
  function verdict(row) {
    const load = row[at.load], limit = data.limit, ditched = row[at.load_ditched];
    const to = isUnder(row) ? " to hover with the fins, no way straight up, " : " to swim up, ";
    if (load <= 0) {
      const held = "the diver presses against the ceiling with " + small(-load) + ".";
      return { ok: true, text: isUnder(row) ? held : "there is nothing to swim up: the diver floats." };
    }
    if (load <= limit) {
      return { ok: true, text: withUnit("mass", load) + to + "within the limit of " + withUnit("mass", limit) + "." };
    }
    let text = withUnit("mass", load) + to + withUnit("mass", load - limit) + " beyond the limit of " + withUnit("mass", limit);
    if (!data.ditchable) text += "; there is nothing to let go of.";
    else if (ditched <= limit) text += "; within it after letting go of what is ditchable (" + withUnit("mass", Math.max(0, ditched)) + ").";
    else text += "; beyond it even after letting go of all that is ditchable (" + withUnit("mass", ditched) + ").";
    const suit = row[at.load_suit];
    if (suit !== null) {
      text += suit <= limit ? " With the suit as lift within it (" : " Even with the suit as lift beyond it (";
      text += withUnit("mass", Math.max(0, suit)) + ").";
    }
    return { ok: false, text: text };
  }

  // what an empty wing means at a row: at or below the last stop nobody may float
  function light(row) {
    const bare = row[at.bare], must = row[at.time_s] >= data.ascentS && row[at.depth] >= data.lastStop;
    if (bare <= 0) return { ok: true, text: "the diver sinks, " + small(-bare) + " heavier than the water." };
    if (isUnder(row)) return { ok: !must, text: "the diver presses against the ceiling, " + small(bare) + " too light to stay down." };
    if (!must) return { ok: true, text: "the diver floats, " + small(bare) + " lighter than the water." };
    return { ok: false, text: "the diver floats off, " + small(bare) + " too light to stay down." };
  }
  // who floats by a hair floats
  function small(value) {
    const text = withUnit("mass", value);
    return /^0\.0 /.test(text) ? "less than " + withUnit("mass", 0.1) : text;
  }

  // the bars: what lifts to the right, what sinks to the left, one scale for the whole dive
  const gas = rows.map((row) => row[at.net] - row[at.bare]);
  const all = rows.flatMap((row, i) => row[at.lift].concat([row[at.bare], gas[i]])).filter((kg) => kg !== null);
  const low = Math.min(0, ...all), high = Math.max(0, ...all), span = high - low || 1;
  const bars = data.groups.concat(["net, wing empty", "gas in the wing"]).map((name, i) => {
    const bar = document.createElement("div");
    bar.className = i === data.groups.length ? "bar sum" : "bar";
    const part = (parent, kind, text) => {
      const element = document.createElement("span");
      element.className = kind;
      if (text) element.textContent = text;
      parent.appendChild(element);
      return element;
    };
    part(bar, "name", name).title = name;
    const track = part(bar, "track");
    const fill = part(track, "fill");
    part(track, "zero").style.left = (-100 * low) / span + "%";
    const amount = part(bar, "amount");
    byId("bars").appendChild(bar);
    return { fill: fill, amount: amount };
  });
  function drawBars(row, i) {
    row[at.lift].concat([row[at.bare], gas[i]]).forEach((kg, n) => {
      const bar = bars[n];
      bar.amount.textContent = kg === null ? "—" : signed(kg, data.units.mass[1]);
      bar.fill.className = "fill " + (kg > 0 ? "lifts" : "sinks");
      bar.fill.style.left = (100 * (Math.min(0, kg) - low)) / span + "%";
      bar.fill.style.width = (100 * Math.abs(kg || 0)) / span + "%";
    });
  }

  // the pointer: a line across both panels of the figure
  const pointers = svgs.map((svg) => {
    const plot = svg.dataset;
    const line = document.createElementNS("http://www.w3.org/2000/svg", "line");
    line.setAttribute("class", "pointer");
    line.setAttribute("y1", plot.plotTop);
    line.setAttribute("y2", plot.plotBottom);
    svg.appendChild(line);
    return line;
  });
  function drawPointers(timeS) {
    svgs.forEach((svg, i) => {
      const left = Number(svg.dataset.plotLeft), right = Number(svg.dataset.plotRight);
      const x = left + ((right - left) * timeS) / Number(svg.dataset.plotSeconds);
      pointers[i].setAttribute("x1", x);
      pointers[i].setAttribute("x2", x);
    });
  }

  let speech = 0;
  function go(index, moved) {
    const i = Math.min(rows.length - 1, Math.max(0, index));
    if (i === now) return;
    now = i;
    const row = rows[i], failed = verdict(row), empty = light(row);
    if (moved !== "slider") slider.value = row[at.time_s];
    show("v-time", moment(row[at.time_s]));
    show("v-depth", withUnit("depth", row[at.depth]));
    show("v-ambient", withUnit("ambient", row[at.ambient]));
    row[at.gauge].forEach((value, n) => show("v-gauge-" + n, value === null ? "not carried" : withUnit("gauge", value)));
    show("v-wing", withUnit("volume", row[at.wing]));
    show("v-suit", withUnit("volume", row[at.suit]));
    show("v-oxygen", withUnit("oxygen", row[at.oxygen]));
    show("v-bare", withSign("mass", row[at.bare]));
    show("v-load", withUnit("mass", Math.max(0, row[at.load])));
    if (row[at.load_suit] !== null) show("v-load-suit", withUnit("mass", Math.max(0, row[at.load_suit])));
    show("v-other", row[at.other] === null ? "—" : withSign("mass", row[at.other]));
    tell("v-verdict", failed);
    tell("v-light", empty);
    drawBars(row, i);
    drawPointers(row[at.time_s]);
    byId("marks").childNodes.forEach((button) => button.setAttribute("aria-pressed", String(Number(button.dataset.row) === i)));
    const spoken = spokenMoment(row[at.time_s]) + ", " + withUnit("depth", row[at.depth]) + ". Net with the wing empty "
      + withSign("mass", row[at.bare]) + ". If the wing failed now: " + failed.text + (empty.ok ? "" : " With the wing empty " + empty.text);
    slider.setAttribute("aria-valuetext", spoken);
    // a focused slider speaks for itself; everything else is told once it has come to rest
    clearTimeout(speech);
    if (document.activeElement !== slider) speech = setTimeout(() => show("live", spoken), 600);
  }

  function nearest(timeS) {
    let from = 0, to = rows.length - 1;
    while (from < to) {
      const middle = (from + to) >> 1;
      if (rows[middle][at.time_s] < timeS) from = middle + 1;
      else to = middle;
    }
    return from > 0 && timeS - rows[from - 1][at.time_s] < rows[from][at.time_s] - timeS ? from - 1 : from;
  }

  slider.addEventListener("input", () => go(nearest(Number(slider.value)), "slider"));
  slider.addEventListener("keydown", (event) => {
    const minutes = (n) => {
      const target = nearest(rows[now][at.time_s] + 60 * n);
      return target === now ? now + n : target;
    };
    const moves = {
      ArrowRight: () => now + 1, ArrowUp: () => now + 1, ArrowLeft: () => now - 1, ArrowDown: () => now - 1,
      PageUp: () => minutes(1), PageDown: () => minutes(-1), Home: () => 0, End: () => rows.length - 1,
    };
    if (!moves[event.key] || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    go(moves[event.key]());
  });

  // on the figure: press, drag, or move over it with a mouse held down; upright swipes still scroll the page
  svgs.forEach((svg) => {
    const follow = (event) => {
      const box = svg.getBoundingClientRect(), view = svg.viewBox.baseVal;
      const left = Number(svg.dataset.plotLeft), right = Number(svg.dataset.plotRight);
      const x = ((event.clientX - box.left) / box.width) * view.width;
      const timeS = ((x - left) / (right - left)) * Number(svg.dataset.plotSeconds);
      go(nearest(Math.min(endS, Math.max(0, timeS))));
    };
    // a drag over the letters of the figure marks no text
    svg.addEventListener("mousedown", (event) => event.preventDefault());
    svg.addEventListener("pointerdown", (event) => {
      svg.setPointerCapture(event.pointerId);
      follow(event);
    });
    svg.addEventListener("pointermove", (event) => {
      if (svg.hasPointerCapture(event.pointerId)) follow(event);
    });
  });

  // the slider's thumb stands below the pointer: its track is as wide as the plot of the figure that is shown
  const THUMB_PX = 16;
  function align() {
    const svg = svgs.find((one) => one.getClientRects().length);
    if (!svg) return;
    const width = svg.viewBox.baseVal.width;
    const left = Number(svg.dataset.plotLeft) / width, right = Number(svg.dataset.plotRight) / width;
    slider.style.marginLeft = "calc(" + 100 * left + "% - " + THUMB_PX / 2 + "px)";
    slider.style.width = "calc(" + 100 * (right - left) + "% + " + THUMB_PX + "px)";
  }
  addEventListener("resize", align);

  data.marks.forEach(([label, row]) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = label;
    button.dataset.row = row;
    button.addEventListener("click", () => go(row));
    byId("marks").appendChild(button);
  });
  byId("moment").hidden = false;
  align();
  go(0);
})();
