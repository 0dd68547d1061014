// @ts-check
/** Small helpers of all views. */

const SVG = "http://www.w3.org/2000/svg";

/**
 * @typedef {Record<string, string | number | boolean | null | undefined | ((event: any) => void)>} Attributes
 * @typedef {Node | string | null | undefined | false} Child
 */

/**
 * @param {Element} element
 * @param {Attributes} attributes `on…` are listeners, `null` and `false` are left out, `true` is an empty attribute
 */
export function set(element, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name.slice(2), value);
    else if (value === null || value === undefined || value === false) element.removeAttribute(name);
    else element.setAttribute(name, value === true ? "" : String(value));
  }
}

/**
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Attributes} [attributes]
 * @param {...Child} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function el(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  set(element, attributes);
  element.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/**
 * @template {keyof SVGElementTagNameMap} T
 * @param {T} tag
 * @param {Attributes} [attributes]
 * @param {...Child} children
 * @returns {SVGElementTagNameMap[T]}
 */
export function svg(tag, attributes = {}, ...children) {
  const element = /** @type {SVGElementTagNameMap[T]} */ (document.createElementNS(SVG, tag));
  set(element, attributes);
  element.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/**
 * A number with fixed decimals, a true minus sign and no negative zero.
 * @param {number} value
 * @param {number} decimals
 */
export function number(value, decimals) {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && /[1-9]/.test(text) ? `−${text}` : text;
}

/**
 * The same with a plus where it is above zero.
 * @param {number} value
 * @param {number} decimals
 */
export function signed(value, decimals) {
  const text = number(value, decimals);
  return text.startsWith("−") || !/[1-9]/.test(text) ? text : `+${text}`;
}

/**
 * A time of the dive as minutes and seconds: `8:07`.
 * @param {number} seconds
 */
export function clock(seconds) {
  const whole = Math.round(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}
