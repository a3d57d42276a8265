// SPDX-License-Identifier: Apache-2.0
//
// The app's two parts. The first has what a first visit runs, up to the first verdict; the rest
// comes after the first frame, unasked. From the second visit on both are there at the start. A
// call from the first part into the rest goes through the table they share. Where the rest is not
// there yet, that call fetches it and waits: a moment without an answer, once, rather than an app
// that cannot.
//
//   NthtreeApp({ instantiateWasm: Nthtree.parts.instantiate(addressOf), … })
//   await Nthtree.parts.rest();        // after the first frame
"use strict";
(globalThis.Nthtree ??= {}).parts = (() => {
  const LATER = "placeholder"; // the namespace of the first part's calls into the rest
  let address = "";            // of the rest; empty where the app is in one part
  let exported = null;         // of the first part
  let here = false;

  class Missing extends Error {} // the crash page says what to do

  function join(module) {
    if (!here) new WebAssembly.Instance(module, { primary: exported });
    here = true;
  }

  async function compiled(from) {
    const answer = await fetch(from);
    if (!answer.ok) throw new Error(`${from}: ${answer.status}`);
    return WebAssembly.compileStreaming ? WebAssembly.compileStreaming(answer)
      : WebAssembly.compile(await answer.arrayBuffer());
  }

  // Without a promise, since the caller is WebAssembly and waits. A page may ask so for text only.
  function fetchAtOnce() {
    const request = new XMLHttpRequest();
    request.open("GET", address, false);
    request.overrideMimeType("text/plain; charset=x-user-defined");
    try {
      request.send();
    } catch {
      // the status says so
    }
    if (request.status !== 200) {
      const error = new Missing(`${address}: ${request.status || "no answer"}`);
      Nthtree.bridge.fall(error); // what called is torn in the middle
      throw error;
    }
    return Uint8Array.from(request.responseText, (sign) => sign.charCodeAt(0) & 255);
  }

  const calls = (table) => new Proxy({}, {
    get: (_, place) => (...given) => {
      if (!here) join(new WebAssembly.Module(fetchAtOnce()));
      return table().get(Number(place))(...given);
    },
  });

  // For Emscripten's instantiateWasm: `addressOf` gives a file's address, "" where there is none.
  const instantiate = (addressOf) => (imports, take) => {
    address = addressOf("rest.wasm");
    const table = () => Object.values(exported).find((it) => it instanceof WebAssembly.Table);
    const start = async () => {
      const module = await compiled(addressOf("app.wasm"));
      const instance = await WebAssembly.instantiate(module, { ...imports, [LATER]: calls(table) });
      exported = instance.exports;
      // Kept by the worker, the rest is here at once. WebKit asks the network alone where a call
      // waits.
      if (navigator.serviceWorker?.controller) await rest();
      take(instance, module);
    };
    start().catch((error) => Nthtree.crash.show(error));
    return {};
  };

  // Fetches the rest and joins it. Settles also where it did not come: the call that needs it asks
  // again.
  async function rest() {
    if (here || !address) return;
    try {
      join(await compiled(address));
    } catch (error) {
      console.info("the rest of the app has not come", String(error));
    }
  }

  return { instantiate, rest, Missing };
})();
