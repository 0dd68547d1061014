// @ts-check
/**
 * The engine in this thread and in a worker: both run the same WebAssembly, unpacked from the page itself.
 *
 * @typedef {{ ok?: any, problems?: any[], error?: string }} Answer
 * @typedef {(question: object) => Answer} Ask
 */

const encoder = new TextEncoder();
const decoder = new TextDecoder();

/**
 * The module's bytes: base64 of a gzip stream in the page.
 * @param {string} text
 * @returns {Promise<Uint8Array<ArrayBuffer>>}
 */
export async function unpack(text) {
  const packed = Uint8Array.from(atob(text.trim()), (letter) => letter.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

/**
 * Questions answered by a module. After a fault of the engine its instance is thrown away and a new one takes its place.
 * @param {WebAssembly.Module} module
 * @returns {Ask}
 */
export function engine(module) {
  /** @type {any} */
  let exports = null;
  return (question) => {
    exports ??= new WebAssembly.Instance(module, stubs(module)).exports;
    try {
      const bytes = encoder.encode(JSON.stringify(question));
      // the place first: making it can move the memory
      const place = exports.reserve(bytes.length);
      new Uint8Array(exports.memory.buffer, place, bytes.length).set(bytes);
      const at = exports.answer();
      return JSON.parse(read(exports, at, exports.answer_length()));
    } catch (fault) {
      const words = read(exports, exports.fault(), exports.fault_length());
      exports = null;
      return { error: `a fault of the program: ${words || fault}` };
    }
  };
}

/**
 * @param {any} exports
 * @param {number} at
 * @param {number} length
 */
function read(exports, at, length) {
  return decoder.decode(new Uint8Array(exports.memory.buffer, at, length));
}

/**
 * Functions that a library of the engine could call in a page of its own and never does here.
 * @param {WebAssembly.Module} module
 */
function stubs(module) {
  /** @type {Record<string, Record<string, () => never>>} */
  const imports = {};
  for (const { module: from, name } of WebAssembly.Module.imports(module)) {
    (imports[from] ??= {})[name] = () => {
      throw new Error(`${from}.${name}`);
    };
  }
  return imports;
}

/** What a worker does: the page's own script runs in it, and only this of it. */
export function serve() {
  /** @type {Ask | null} */
  let ask = null;
  addEventListener("message", ({ data }) => {
    if (data.module) ask = engine(data.module);
    else postMessage({ id: data.id, answer: ask?.(data.question) });
  });
}

/**
 * Questions answered in a worker, one after the other. Where there can be none, they are answered here, later.
 * @param {WebAssembly.Module} module
 * @param {string} script the page's own script
 * @param {Ask} here
 */
export function slowly(module, script, here) {
  /** @type {Map<number, { question: object, resolve: (answer: Answer) => void }>} */
  const waiting = new Map();
  let next = 0;
  /** @type {Worker | null} */
  let worker = null;
  const giveUp = () => {
    worker = null;
    for (const { question, resolve } of waiting.values()) resolve(here(question));
    waiting.clear();
  };
  try {
    worker = new Worker(URL.createObjectURL(new Blob([script], { type: "text/javascript" })));
    worker.onmessage = ({ data }) => {
      waiting.get(data.id)?.resolve(data.answer);
      waiting.delete(data.id);
    };
    worker.onerror = (event) => {
      event.preventDefault();
      giveUp();
    };
    worker.postMessage({ module });
  } catch {
    worker = null;
  }
  /**
   * @param {object} question
   * @returns {Promise<Answer>}
   */
  return (question) =>
    new Promise((resolve) => {
      if (!worker) {
        setTimeout(() => resolve(here(question)), 0);
        return;
      }
      waiting.set(++next, { question, resolve });
      worker.postMessage({ id: next, question });
    });
}
