// SPDX-License-Identifier: Apache-2.0
//
// Scripts that are not needed before somebody asks for them: from phone to phone, codes on paper.
// The worker keeps them for offline use like all others.
//
//   await Nthtree.later("qrcode.js");   // rejects where it is not on this phone
"use strict";
(globalThis.Nthtree ??= {}).later = (() => {
  const policy = globalThis.trustedTypes?.createPolicy("nthtree-later", {
    createScriptURL: (url) => url,
  });
  const loading = new Map();

  return (name) => {
    if (!loading.has(name)) {
      loading.set(name, new Promise((resolve, reject) => {
        const script = document.createElement("script");
        script.onload = resolve;
        script.onerror = () => {
          loading.delete(name);
          reject(new Error(`${name} is not on this phone`));
        };
        const address = Nthtree.fileName?.(name) ?? name;
        script.src = policy ? policy.createScriptURL(address) : address;
        document.head.append(script);
      }));
    }
    return loading.get(name);
  };
})();
