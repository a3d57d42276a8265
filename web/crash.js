// SPDX-License-Identifier: Apache-2.0
//
// When the app falls: a page that can be read, the counts that are not on the hub yet as a file,
// and a way to start again. It needs nothing of the app and has words of its own, since the app's
// may be what is broken.
//
//   Nthtree.crash.show(error);
"use strict";
(globalThis.Nthtree ??= {}).crash = (() => {
  const WORDS = {
    en: {
      title: "The app has stopped",
      text: "Everything that was said to be saved is still on this phone.",
      missing: "A part of the app has not come to this phone yet. Go where there is a network and "
        + "start again.",
      waiting: (n) => `Not yet sent to the hub: ${n}`,
      again: "Start again",
      export: "Save a copy of all counts",
      rescue: "Get the counts out without the app",
      details: "For whoever mends it",
    },
    es: {
      title: "La aplicación se ha detenido",
      text: "Todo lo que se mostró como guardado sigue en este teléfono.",
      missing: "A este teléfono le falta todavía una parte de la aplicación. Vaya adonde haya "
        + "red y empiece de nuevo.",
      waiting: (n) => `Aún sin enviar a la central: ${n}`,
      again: "Empezar de nuevo",
      export: "Guardar una copia de todos los conteos",
      rescue: "Sacar los conteos sin la aplicación",
      details: "Para quien lo repare",
    },
    fr: {
      title: "L’application s’est arrêtée",
      text: "Tout ce qui a été annoncé comme enregistré est encore sur ce téléphone.",
      missing: "Une partie de l’application n’est pas encore arrivée sur ce téléphone. Allez là "
        + "où il y a du réseau et recommencez.",
      waiting: (n) => `Pas encore arrivés à la ferme : ${n}`,
      again: "Recommencer",
      export: "Enregistrer une copie de tous les comptages",
      rescue: "Sortir les comptages sans l’application",
      details: "Pour qui le répare",
    },
  };
  let shown = false;

  const words = () => WORDS[(document.documentElement.lang || navigator.language).slice(0, 2)]
    ?? WORDS.en;

  function part(tag, content, parent) {
    const element = document.createElement(tag);
    element.textContent = content;
    parent.append(element);
    return element;
  }

  async function exportAll() {
    const all = await Nthtree.store.exportAll();
    const day = new Date().toISOString().slice(0, 10);
    Nthtree.device.saveFile(`nthtree-${day}.json`, "application/json",
      [all], true);
  }

  function show(error) {
    if (shown) return;
    shown = true;
    console.error(error);
    const say = words();
    document.getElementById("mirror")?.remove();
    document.getElementById("opening")?.remove();
    document.getElementById("canvas")?.remove();
    const page = document.createElement("main");
    page.id = "crash";
    part("h1", say.title, page);
    part("p", say.text, page);
    if (error instanceof Nthtree.parts.Missing) part("p", say.missing, page);
    const waiting = part("p", "", page);
    const again = part("button", say.again, page);
    again.className = "main";
    again.addEventListener("click", () => location.reload());
    const copy = part("button", say.export, page);
    copy.addEventListener("click", () => exportAll().catch((reason) => {
      part("p", String(reason?.message ?? reason), page);
    }));
    const rescue = part("a", say.rescue, part("p", "", page));
    rescue.href = "rescue.html";
    const details = part("details", "", page);
    part("summary", say.details, details);
    part("pre", String(error?.stack ?? error), details);
    document.body.append(page);
    Nthtree.store?.unsent?.().then((count) => {
      if (count >= 0) waiting.textContent = say.waiting(count);
    }, () => {});
    again.focus();
  }

  // What escapes everything else: only a fallen app ends the page, a stray promise does not.
  function watch() {
    globalThis.addEventListener("error", (event) => {
      if (event.error instanceof WebAssembly.RuntimeError) Nthtree.bridge.fall(event.error);
    });
  }

  return { show, watch };
})();
