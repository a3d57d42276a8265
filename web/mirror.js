// SPDX-License-Identifier: Apache-2.0
//
// Keeps real, invisible elements in step with what the canvas shows, for screen readers, keyboards
// and tests. Each lies exactly over what it stands for; a finger goes through it to the canvas.
// The page between the bars cuts off what is scrolled below them, as the canvas does: otherwise a
// finger that explores by touch would find the page's controls over the bar's.
//
// The tree is the one of src/widgets/mirror.h. Elements are kept from one tree to the next by the
// control's id, so that the focus stays where it is. After a tap one or two controls differ from
// before: a line that is the same is not even parsed, and what it stands for is left alone.
//
//   Nthtree.mirror.update('[{"i":"save","r":"button","l":"Save","x":[16,700,328,56]}]');
"use strict";
(globalThis.Nthtree ??= {}).mirror = (() => {
  const TAGS = {
    button: "button", switch: "button", radio: "button", tab: "button", link: "button",
    heading: "h2", text: "p", banner: "header", navigation: "nav", main: "main",
    contentinfo: "footer", list: "ul", listitem: "li", textbox: "input", date: "input",
  };
  // Elements whose tag says the role already.
  const NATIVE = new Set(["button", "heading", "text", "banner", "navigation", "main",
    "contentinfo", "list", "listitem", "textbox", "date"]);
  const HOLDERS = new Set(["banner", "navigation", "main", "contentinfo", "group", "radiogroup",
    "tablist", "list", "listitem", "table", "row", "dialog"]);
  const UNNAMED = new Set(["banner", "contentinfo", "main"]);
  const PRESSABLE = new Set(["button", "link", "switch", "radio", "tab"]);
  const FIELDS = new Set(["textbox", "date"]);

  const elements = new Map(); // id -> {element, shell, key, node, origin}
  let root = null;

  const tagOf = (node) => {
    if (node.r === "heading") return `h${Math.min(6, Math.max(1, node.n ?? 2))}`;
    if (node.r === "textbox" && node.t === "long") return "textarea";
    return TAGS[node.r] ?? "div";
  };

  function attribute(element, name, value) {
    if (value === undefined || value === null || value === false) element.removeAttribute(name);
    else if (element.getAttribute(name) !== String(value)) element.setAttribute(name, value);
  }

  // A cell that something to press lies in is a holder too: its words are those of what it holds.
  const isHolder = (node) => HOLDERS.has(node.r) || node.held === true;

  function create(node, tag) {
    const element = document.createElement(tag);
    element.dataset.id = node.i;
    if (!NATIVE.has(node.r)) element.setAttribute("role", node.r);
    if (tag === "button") element.type = "button";
    if (node.r === "textbox" && tag === "input") element.type = "text";
    if (node.r === "date") element.type = "date";
    if (!isHolder(node)) element.classList.add("over");
    if (PRESSABLE.has(node.r)) {
      element.addEventListener("click", () => Nthtree.bridge.activate(node.i));
    }
    if (PRESSABLE.has(node.r) || FIELDS.has(node.r)) {
      element.addEventListener("focus", () => {
        Nthtree.bridge.focus(node.i, FIELDS.has(node.r) || element.matches(":focus-visible"));
      });
      element.addEventListener("blur", () => Nthtree.bridge.focus("", false));
    }
    if (FIELDS.has(node.r)) Nthtree.keyboard.attach(element, node);
    return element;
  }

  function fill(element, node, holder) {
    const pressable = PRESSABLE.has(node.r);
    const field = FIELDS.has(node.r);
    if (!holder && !field && node.r !== "img" && node.r !== "progressbar") {
      if (element.textContent !== (node.l ?? "")) element.textContent = node.l ?? "";
      attribute(element, "aria-description", node.h);
    } else if (!UNNAMED.has(node.r) && !node.held) {
      attribute(element, "aria-label", node.l);
      attribute(element, "aria-description", node.h);
    }
    if (pressable || field) {
      // Disabled, yet reachable: a screen reader should find out that it is there.
      attribute(element, "aria-disabled", node.d ? "true" : null);
    }
    const checks = node.r === "switch" || node.r === "radio";
    if (checks) attribute(element, "aria-checked", node.c ? "true" : "false");
    if (node.r === "tab") attribute(element, "aria-selected", node.s ? "true" : "false");
    if (node.e !== undefined) attribute(element, "aria-pressed", node.e ? "true" : "false");
    attribute(element, "aria-current", node.u ? "true" : null);
    if (node.r === "status") element.setAttribute("aria-live", "off"); // announce() reads it once
    if (node.r === "alert") element.setAttribute("aria-live", "off");
    if (node.r === "dialog") element.setAttribute("aria-modal", "true");
    if (node.r === "progressbar" && node.m) {
      attribute(element, "aria-valuemin", node.m[0]);
      attribute(element, "aria-valuemax", node.m[1]);
      attribute(element, "aria-valuenow", node.m[2]);
    }
    if (field) Nthtree.keyboard.show(element, node);
  }

  // `origin`: the corner of the page that it is placed in.
  function place(element, [x, y, w, h], origin) {
    const { style } = element;
    style.left = `${x - origin[0]}px`;
    style.top = `${y - origin[1]}px`;
    style.width = `${w}px`;
    style.height = `${h}px`;
  }

  // Items of a list are wrapped, so that the list counts them.
  function shellFor(node, parentRole, element) {
    if (parentRole !== "list" || node.r === "listitem") return element;
    const item = document.createElement("li");
    item.append(element);
    return item;
  }

  function upsert(node, parentRole, origin) {
    const key = `${tagOf(node)} ${node.r} ${parentRole === "list"} ${isHolder(node)}`;
    let entry = elements.get(node.i);
    if (!entry || entry.key !== key) {
      entry?.shell.remove();
      const element = create(node, tagOf(node));
      entry = { element, shell: shellFor(node, parentRole, element), key, node: null };
      elements.set(node.i, entry);
    }
    if (node !== entry.node || origin[0] !== entry.origin[0] || origin[1] !== entry.origin[1]) {
      entry.node = node;
      entry.origin = origin;
      const holder = isHolder(node);
      fill(entry.element, node, holder);
      if (!holder || node.r === "main") place(entry.element, node.x, origin);
      if (entry.shell !== entry.element) {
        attribute(entry.shell, "aria-posinset", node.a?.[0] || null);
        attribute(entry.shell, "aria-setsize", node.a?.[1] || null);
      }
    }
    return entry;
  }

  // A new screen has a heading of its own: who reads or types along goes on there.
  let heading = null;

  function follow(nodes) {
    const top = nodes.find((node) => node.r === "heading" && node.n === 1)?.i;
    if (!top || top === heading) return;
    const first = heading === null;
    heading = top;
    if (first || document.activeElement?.matches("input, textarea")) return; // mid-word
    const { element } = elements.get(top);
    element.tabIndex = -1;
    element.focus({ preventScroll: true });
  }

  let lines = [];
  let nodes = [];

  // The nodes of a tree; those of the lines that stand where they stood are the same as before.
  function read(json) {
    const now = json === "[]" ? [] : json.slice(1, -1).split(",\n"); // never raw in a text
    nodes = now.map((line, at) => (line === lines[at] ? nodes[at] : JSON.parse(line)));
    lines = now;
    for (const node of nodes) node.held = false;
    for (const node of nodes) {
      const parent = nodes[node.p];
      if (parent?.r === "cell" || parent?.r === "columnheader") parent.held = true;
    }
  }

  function update(json) {
    root ??= document.getElementById("mirror");
    read(json);
    const wanted = new Set(nodes.map((node) => node.i));
    for (const [id, entry] of elements) {
      if (wanted.has(id)) continue;
      entry.shell.remove();
      elements.delete(id);
    }
    const lastIn = new Map(); // the element placed last in each parent
    const made = [];
    const origins = []; // for what lies in the node
    for (const node of nodes) {
      const parentNode = node.p === undefined ? null : nodes[node.p];
      const parent = parentNode ? made[node.p].element : root;
      const origin = parentNode ? origins[node.p] : [0, 0];
      const entry = upsert(node, parentNode?.r, origin);
      made.push(entry);
      origins.push(node.r === "main" ? node.x : origin);
      // Elements that stay are never taken out: that would cost them the focus.
      const last = lastIn.get(parent);
      const next = last ? last.nextSibling : parent.firstChild;
      if (next !== entry.shell) parent.insertBefore(entry.shell, next);
      lastIn.set(parent, entry.shell);
    }
    follow(nodes);
    // Below a question nothing can be reached.
    const modal = nodes.find((node) => node.r === "dialog");
    for (const child of root.children) {
      const inert = modal !== undefined && child.dataset.id !== modal.i;
      if (child.inert !== inert) child.inert = inert;
    }
    if (modal && !root.querySelector("[role=dialog]").contains(document.activeElement)) {
      if (document.activeElement?.matches(":focus-visible")) {
        root.querySelector("[role=dialog] button")?.focus({ preventScroll: true });
      }
    }
  }

  // What is said in one moment is read together: a live region holds its last words only, and
  // the word on the tree must not be lost to the word on the pruner.
  const TOGETHER_MS = 300;
  const lastSaid = { "said": { words: "", at: -Infinity },
    "said-at-once": { words: "", at: -Infinity } };

  function announce(words, assertive) {
    const id = assertive ? "said-at-once" : "said";
    const before = lastSaid[id];
    const at = performance.now();
    const text = at - before.at < TOGETHER_MS ? `${before.words} ${words}` : words;
    lastSaid[id] = { words: text, at };
    const region = document.getElementById(id);
    // The same words twice must be read twice.
    region.textContent = region.textContent === text ? `${text}\u00a0` : text;
  }

  const elementOf = (id) => elements.get(id)?.element ?? null;

  return { update, announce, elementOf };
})();
