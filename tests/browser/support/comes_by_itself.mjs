// SPDX-License-Identifier: Apache-2.0
//
// What a page is told in its first seconds without a tap: the browser's offer to put it on the home
// screen; and that it is left for another app or reloaded, and is there again. Runs in the page.
//
//   await phone.page.evaluate(comesByItself);
export function comesByItself() {
  const seen = (state) => {
    Object.defineProperty(document, "visibilityState", { configurable: true, value: state });
    Object.defineProperty(document, "hidden", { configurable: true, value: state === "hidden" });
    document.dispatchEvent(new Event("visibilitychange"));
  };
  if ("onbeforeinstallprompt" in globalThis) dispatchEvent(new Event("beforeinstallprompt"));
  dispatchEvent(new Event("blur"));
  seen("hidden");
  seen("visible");
  dispatchEvent(new Event("focus"));
  dispatchEvent(new Event("beforeunload", { cancelable: true }));
  delete document.visibilityState;
  delete document.hidden;
}
