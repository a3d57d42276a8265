// SPDX-License-Identifier: Apache-2.0
//
// Finds elements by role and name. Sent into the page as text, so it stands by itself.
//
//   page.evaluate(lookUp, [[[{ css: "#mirror" }, { role: "button", name: "Save" }]], "box"])
//
// Ways are tried in order; a step is {css}, {role, name, exact}, {text} or {first}. Names are texts or
// {source, flags} of a regular expression. What of the first element found: its count (of all), box,
// text, value, attribute, or the element itself, for a function put around it.
export function lookUp([ways, what, argument]) {
  const ROLES = { BUTTON: "button", MAIN: "main", HEADER: "banner", FOOTER: "contentinfo",
    UL: "list", LI: "listitem", INPUT: "textbox", TEXTAREA: "textbox", P: "paragraph", A: "link" };
  const clean = (text) => (text ?? "").replace(/\s+/g, " ").trim();
  const roleOf = (element) => element.getAttribute("role")
    ?? (/^H[1-6]$/.test(element.tagName) ? "heading" : ROLES[element.tagName]);
  const nameOf = (element) => clean(element.getAttribute("aria-label") ?? element.textContent);
  const fits = (text, wanted, exact) => {
    if (wanted === undefined || wanted === null) return true;
    if (wanted.source !== undefined) return new RegExp(wanted.source, wanted.flags).test(text);
    return exact ? text === clean(wanted)
      : text.toLowerCase().includes(clean(wanted).toLowerCase());
  };
  const below = (roots) => [...new Set(roots.flatMap((root) => [...root.querySelectorAll("*")]))];
  const steps = {
    css: (roots, { css }) => roots.flatMap((root) => [...root.querySelectorAll(css)]),
    role: (roots, { role, name, exact }) => below(roots).filter((element) =>
      roleOf(element) === role && !element.closest("[inert]") && fits(nameOf(element), name, exact)),
    // The innermost that say it.
    text: (roots, { text }) => below(roots).filter((element) => {
      const says = (one) => fits(clean(one.textContent), text, false);
      return says(element) && ![...element.children].some(says);
    }),
    first: (roots) => roots.slice(0, 1),
  };
  const found = ways.flatMap((way) => way.reduce((roots, step) =>
    steps[Object.keys(step)[0]](roots, step), [document]));
  if (what === "count") return found.length;
  const [element] = found;
  if (!element) return null;
  if (what === "text") return element.textContent;
  if (what === "value") return element.value;
  if (what === "attribute") return element.getAttribute(argument);
  if (what === "element") return element;
  const { x, y, width, height } = element.getBoundingClientRect();
  return { x, y, width, height };
}
