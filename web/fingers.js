// SPDX-License-Identifier: Apache-2.0
//
// Fingers, the mouse and its wheel on the canvas, told to the app inside the browser's own event.
//
//   Nthtree.fingers.start(canvas);
"use strict";
(globalThis.Nthtree ??= {}).fingers = (() => {
  const DOWN = 0;
  const MOVE = 1;
  const UP = 2;
  const WHAT = { touchstart: DOWN, touchmove: MOVE, touchend: UP, touchcancel: UP };
  const MOUSE = -1; // no finger has this number
  const WHEEL_PX = [0.6, 20, 4800]; // a pixel, a line and a page of the wheel
  const tell = (what, id, place) => Nthtree.bridge.finger(what, id, place.clientX, place.clientY);

  // Two fingers zoom the page, for who cannot read it otherwise, but not where each finger counts:
  // there the browser's own gestures are forbidden. Nor may it make a mouse's click of a finger
  // that was lifted. What it takes away for itself (a zoom, the shade pulled down) was no tap.
  function watchTouches(canvas) {
    let zooming = false;
    function onTouch(event) {
      const { type, touches } = event;
      // Asked where a finger lands alone: a drag has hundreds of moves.
      const counts = type === "touchstart" && [...touches].some((finger) =>
        Nthtree.app._nthtree_counts_at(finger.clientX, finger.clientY));
      if (type === "touchcancel") Nthtree.bridge.cancel();
      if (touches.length < 2) zooming = false;
      else if (type === "touchstart" && !counts) zooming = true;
      if (zooming && type !== "touchend") {
        Nthtree.bridge.cancel();
        return;
      }
      for (const finger of event.changedTouches) tell(WHAT[type], finger.identifier, finger);
      if (event.cancelable && (counts || WHAT[type] === UP)) event.preventDefault();
    }
    for (const type of Object.keys(WHAT)) canvas.addEventListener(type, onTouch);
  }

  // The mouse is a finger while its first button is down, wherever that is let go.
  function watchMouse(canvas) {
    let pressed = false;
    canvas.addEventListener("mousedown", (event) => {
      event.preventDefault(); // no marking of text, and a field keeps its focus
      if (event.button !== 0) return;
      pressed = true;
      tell(DOWN, MOUSE, event);
    });
    canvas.addEventListener("mousemove", (event) => {
      if (pressed) tell(MOVE, MOUSE, event);
    });
    document.addEventListener("mouseup", (event) => {
      if (event.button !== 0 || !pressed) return;
      pressed = false;
      tell(UP, MOUSE, event);
    });
    canvas.addEventListener("wheel", (event) => {
      event.preventDefault();
      Nthtree.bridge.scroll(event.deltaY * WHEEL_PX[event.deltaMode]);
    });
  }

  function start(canvas) {
    watchTouches(canvas);
    watchMouse(canvas);
    globalThis.addEventListener("blur", () => Nthtree.bridge.cancel());
  }

  return { start };
})();
