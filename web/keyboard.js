// SPDX-License-Identifier: Apache-2.0
//
// Text by the phone's own keyboard, and the keys of a real one. A text field of the canvas is a
// real input element of the mirror: it shows itself over the canvas while it has the focus, so that
// dictation, correction, paste and every script work as anywhere else.
//
//   Nthtree.keyboard.focus("name");     // inside a tap: iOS opens its keyboard only then
"use strict";
(globalThis.Nthtree ??= {}).keyboard = (() => {
  const STEP_PX = 80;
  const isField = (element) => element?.matches?.("#mirror input, #mirror textarea") ?? false;

  function attach(element, node) {
    element.autocomplete = "off";
    element.setAttribute("autocapitalize", node.t === "number" ? "off" : "sentences");
    element.enterKeyHint = "next";
    if (node.t === "number") element.inputMode = "decimal";
    element.addEventListener("input", () => Nthtree.bridge.type(node.i, element.value));
    element.addEventListener("keydown", (event) => {
      // 229: a key that belongs to a composition of the keyboard, not to us.
      if (event.isComposing || event.keyCode === 229) return;
      if (event.key === "Enter" && element.tagName === "INPUT") goOn(element);
    });
  }

  // The keyboard's own key goes to the next field of the form, and puts the keyboard away behind
  // the last one.
  function goOn(element) {
    const fields = [...document.querySelectorAll("#mirror main input")]
      .filter((field) => !field.readOnly && field.type !== "date");
    const next = fields[fields.indexOf(element) + 1];
    if (next) next.focus({ preventScroll: true });
    else element.blur();
  }

  // The app's value wins unless somebody is typing right now.
  function show(element, node) {
    if (document.activeElement !== element && element.value !== (node.v ?? "")) {
      element.value = node.v ?? "";
    }
    element.readOnly = node.d === 1;
    element.placeholder = node.h && !node.v ? node.h : "";
  }

  function focus(id) {
    const element = Nthtree.mirror.elementOf(id);
    if (!element) return;
    element.focus({ preventScroll: true });
    if (element.type === "date") {
      try {
        element.showPicker?.();
      } catch {
        // not inside a gesture (a test, a screen reader): the field itself will do
      }
    }
  }

  function onKey(event) {
    if (event.key === "Escape") {
      if (isField(event.target)) event.target.blur();
      else Nthtree.device.back();
      return;
    }
    if (isField(event.target) || event.ctrlKey || event.metaKey || event.altKey) return;
    const page = innerHeight * 0.8;
    const distances = { PageDown: page, PageUp: -page, ArrowDown: STEP_PX, ArrowUp: -STEP_PX,
      Home: -1e7, End: 1e7 };
    const distance = distances[event.key];
    if (distance === undefined) return;
    event.preventDefault();
    Nthtree.bridge.scroll(distance);
  }

  function start(canvas) {
    document.addEventListener("keydown", onKey);
    // Touching the canvas does not take the focus by itself (its events are cancelled).
    canvas.addEventListener("pointerdown", () => {
      if (isField(document.activeElement)) document.activeElement.blur();
    }, { capture: true });
    // The browser may scroll to show a focused element; everything here lies where it belongs.
    document.getElementById("mirror").addEventListener("scroll", (event) => {
      if (isField(event.target)) return; // a long text scrolls in its own box
      event.target.scrollTop = 0;
      event.target.scrollLeft = 0;
    }, { capture: true }); // it does not bubble
  }

  return { attach, show, focus, start };
})();
