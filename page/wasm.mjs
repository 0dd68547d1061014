// What `page/build` does to the engine between the compiler and the packer:
//
//   node wasm.mjs roots SRC...          the exports that the page calls, as a graph for wasm-metadce
//   node wasm.mjs strip IN OUT          custom sections left out (names, notes of tools: nothing that is run)
//   node wasm.mjs check FILE SRC...     it imports nothing, and exports what the page calls

import { readFileSync, writeFileSync } from "node:fs";

/** Exported functions by the source: those with `#[unsafe(no_mangle)]`, and the memory. */
function exportsOf(sources) {
  const names = sources.flatMap((file) => {
    const text = readFileSync(file, "utf8");
    return [...text.matchAll(/#\[unsafe\(no_mangle\)\]\s*pub (?:unsafe )?extern "C" fn (\w+)/g)].map((found) => found[1]);
  });
  return ["memory", ...names].sort();
}

function roots(sources) {
  const names = exportsOf(sources);
  const reached = names.map((name) => ({ name: `export ${name}`, export: name }));
  return JSON.stringify([{ name: "page", root: true, reaches: reached.map(({ name }) => name) }, ...reached]);
}

/** A number as LEB128 at a place; gives it and the place behind it. */
function number(bytes, at) {
  let value = 0;
  for (let shift = 0; ; shift += 7) {
    const byte = bytes[at++];
    value += (byte & 0x7f) * 2 ** shift;
    if (byte < 0x80) return [value, at];
  }
}

/** The sections but for those of kind 0, which WebAssembly calls custom (core specification, 5.5.3). */
function stripped(bytes) {
  const kept = [bytes.subarray(0, 8)];
  for (let at = 8; at < bytes.length; ) {
    const [size, body] = number(bytes, at + 1);
    if (bytes[at] !== 0) kept.push(bytes.subarray(at, body + size));
    at = body + size;
  }
  return Buffer.concat(kept);
}

function check(file, sources) {
  const module = new WebAssembly.Module(readFileSync(file));
  const told = (list) => list.map(({ name }) => name).sort().join(" ");
  const imports = told(WebAssembly.Module.imports(module));
  const exported = told(WebAssembly.Module.exports(module));
  const expected = exportsOf(sources).join(" ");
  if (imports !== "") throw new Error(`the engine imports ${imports}`);
  if (exported !== expected) throw new Error(`the engine exports ${exported}, and the page calls ${expected}`);
}

const [task, ...rest] = process.argv.slice(2);
if (task === "roots") console.log(roots(rest));
else if (task === "strip") writeFileSync(rest[1], stripped(readFileSync(rest[0])));
else if (task === "check") check(rest[0], rest.slice(1));
else throw new Error(`no such task: ${task}`);
