// SPDX-License-Identifier: Apache-2.0
//
// The app's parts. The first has what stands on the first screen, the next what a first visit runs,
// up to the first verdict; both later ones come after the first frame, unasked. From the second
// visit on all are there at the start. A call from one part into a later one goes through the table
// they share. Where that part is not there yet, the call fetches it and waits: a moment without an
// answer, once, rather than an app that cannot.
//
//   NthtreeApp({ instantiateWasm: Nthtree.parts.instantiate(addressOf), … })
//   await Nthtree.parts.rest();        // after the first frame
"use strict";
(globalThis.Nthtree ??= {}).parts = (() => {
  const LATER = ["visit", "rest"]; // in their order: each needs those before it
  let addresses = [];              // of these parts; none where the app is in one
  const coming = [];               // promises of them
  let here = 0;                    // so many have come
  let table = null;
  const exported = [];             // by each that is here

  class Missing extends Error {} // the crash page says what to do

  // What a part imports of those before it. To put all into one object took longer than all else.
  const earlier = new Proxy({}, {
    get: (_, name) => exported.find((exports) => name in exports)?.[name],
  });

  function join(module) {
    exported.push(new WebAssembly.Instance(module, { p: earlier, ...standIns(here + 1) }).exports);
    here += 1;
  }

  async function compiled(from) {
    const answer = await (Nthtree.early?.(from) ?? fetch(from));
    if (!answer.ok) throw new Error(`${from}: ${answer.status}`);
    return WebAssembly.compileStreaming ? WebAssembly.compileStreaming(answer)
      : WebAssembly.compile(await answer.arrayBuffer());
  }

  function fetched(part) {
    coming[part] ??= compiled(addresses[part]);
    coming[part].catch(() => delete coming[part]); // asked for again, it is fetched again
    return coming[part];
  }

  // Without a promise, since the caller is WebAssembly and waits. A page may ask so for text only.
  function askAtOnce(address, charset) {
    const request = new XMLHttpRequest();
    request.open("GET", address, false);
    request.overrideMimeType(`text/plain; charset=${charset}`);
    try {
      request.send();
    } catch {
      // the status says so
    }
    return request;
  }

  function fetchAtOnce(address) {
    const { status, responseText } = askAtOnce(address, "x-user-defined");
    if (status !== 200) {
      const error = new Missing(`${address}: ${status || "no answer"}`);
      Nthtree.bridge.fall(error); // what called is torn in the middle
      throw error;
    }
    return Uint8Array.from(responseText, (sign) => sign.charCodeAt(0) & 255);
  }

  // What a part imports in place of the functions of those after it: of each by its first letter.
  const standIns = (from) => Object.fromEntries(LATER.slice(from).map((name, i) => [name[0],
    new Proxy({}, {
      get: (_, place) => (...given) => {
        while (here <= from + i) join(new WebAssembly.Module(fetchAtOnce(addresses[here])));
        return table.get(Number(place))(...given);
      },
    })]));

  // How many later parts the start waits for. Kept by the worker, all are here at once; WebKit asks
  // the network alone where a call waits. Whoever comes by a link joins with the first frame.
  function neededAtStart() {
    if (navigator.serviceWorker?.controller) return addresses.length;
    return globalThis.NTHTREE_FRAGMENT ? Math.min(1, addresses.length) : 0;
  }

  // For Emscripten's instantiateWasm: `addressOf` gives a file's address, "" where there is none.
  const instantiate = (addressOf) => (imports, take) => {
    addresses = LATER.map((name) => addressOf(`${name}.wasm`)).filter(Boolean);
    const start = async () => {
      const first = compiled(addressOf("app.wasm"));
      const needed = neededAtStart();
      addresses.slice(0, needed).forEach((_, part) => fetched(part));
      const module = await first;
      const instance = await WebAssembly.instantiate(module, { ...imports, ...standIns(0) });
      exported.push(instance.exports);
      table = Object.values(instance.exports).find((it) => it instanceof WebAssembly.Table);
      await rest(needed);
      take(instance, module);
    };
    start().catch((error) => Nthtree.crash.show(error));
    return {};
  };

  // Fetches the later parts and joins them, one after the other. Settles also where one did not
  // come: the call that needs it asks again.
  async function rest(many = addresses.length) {
    try {
      for (let part = here; part < many; part += 1) {
        const module = await fetched(part);
        if (here === part) join(module);
      }
    } catch (error) {
      console.info("a part of the app has not come", String(error));
    }
  }

  return { instantiate, rest, askAtOnce, Missing };
})();
