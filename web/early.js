// SPDX-License-Identifier: Apache-2.0
//
// Begins to fetch what every start needs while the page's scripts are still on their way. A preload
// would do the same, but WebKit fetches twice what a preload names and a script asks for.
//
//   const answer = await (Nthtree.early?.(address) ?? fetch(address));   // once for each address
"use strict";
(globalThis.Nthtree ??= {}).early = (() => {
  if (globalThis.Nthtree.fileName) return null; // the others were quicker
  const files = JSON.parse(document.querySelector("meta[name=nthtree-files]").content);
  const wanted = ["app.wasm", "languages/keys.json", ...navigator.serviceWorker?.controller
    ? ["fonts/regular.ttf", "fonts/bold.ttf", "visit.wasm", "rest.wasm", "languages/keys.rest.json"]
    : ["fonts/regular.first.ttf", "fonts/bold.first.ttf"]]; // with a worker, all at once
  const coming = new Map();
  for (const address of wanted.map((file) => files[file]).filter(Boolean)) {
    coming.set(address, fetch(address));
    coming.get(address).catch(() => {}); // whoever takes it says so
  }
  return (address) => {
    const answer = coming.get(address);
    coming.delete(address);
    return answer;
  };
})();
