// SPDX-License-Identifier: Apache-2.0
//
// A small web server over web/ for tests of its parts, under the same kind of content policy as the
// app's own. Any file can be replaced, broken or delayed between two requests.
//
//   const site = await openSite();
//   site.set("/page.html", "text/html", "<!doctype html>…");
//   site.set("/v1/echo", (request, response, body) => { … });
//   site.requests                                  // [{method, url}], to see who asked for what
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { createServer } from "node:http";
import { dirname, extname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";

const WEB = join(dirname(fileURLToPath(import.meta.url)), "..", "..", "..", "web");
const TYPES = {
  ".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8",
  ".json": "application/json", ".webmanifest": "application/manifest+json",
};
export const POLICY = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; " +
  "connect-src 'self'; img-src 'self' blob: data:; style-src 'self'; font-src 'self'; " +
  "manifest-src 'self'; worker-src 'self'; media-src 'self' blob:; base-uri 'none'; " +
  "form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'";

// The store and the network, without the app: the first of the scripts in their order.
const SCRIPTS = JSON.parse(readFileSync(join(WEB, "scripts.json"), "utf8"));
export const PARTS = SCRIPTS.slice(0, SCRIPTS.indexOf("updates.js") + 1);

export const pageWith = (scripts, more = "") =>
  `<!doctype html><html lang="en"><meta charset="utf-8"><title>Nthtree</title>${
    scripts.map((name) => `<script defer src="${name}"></script>`).join("")}<body>${more}</body></html>`;

export function listing(version, contents) {
  const files = Object.entries(contents).map(([url, text]) => {
    const bytes = Buffer.from(text);
    return { url, sha256: createHash("sha256").update(bytes).digest("hex"), bytes: bytes.length };
  });
  return `self.NTHTREE_FILES=${JSON.stringify({ version, files })};`;
}

// Runs in a page without the store, which would hold the database open: it is gone, as after an
// eviction.
export const forgetDatabase = () => new Promise((resolve, reject) => {
  const request = indexedDB.deleteDatabase("nthtree");
  request.onsuccess = resolve;
  request.onerror = () => reject(request.error);
});

export async function openSite() {
  const set = new Map(); // path -> handler
  const requests = [];
  const server = createServer(async (request, response) => {
    const { pathname } = new URL(request.url, "http://local");
    requests.push({ method: request.method, url: request.url });
    response.setHeader("content-security-policy", POLICY);
    response.setHeader("cache-control", "no-cache");
    const parts = [];
    for await (const part of request) parts.push(part);
    const handler = set.get(pathname);
    if (handler) return handler(request, response, Buffer.concat(parts));
    try {
      const path = normalize(join(WEB, pathname));
      if (!path.startsWith(WEB)) throw new Error("outside");
      const bytes = await readFile(path);
      response.setHeader("content-type", TYPES[extname(path)] ?? "application/octet-stream");
      return response.end(bytes);
    } catch {
      response.statusCode = 404;
      return response.end("not here");
    }
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  const { port } = server.address();
  return {
    origin: `http://127.0.0.1:${port}`, port, requests,
    set(path, typeOrHandler, text) {
      set.set(path, typeof typeOrHandler === "function" ? typeOrHandler : (_, response) => {
        response.setHeader("content-type", typeOrHandler);
        response.end(text);
      });
    },
    unset: (path) => set.delete(path),
    // A page with the store in it, of a browser or a context; helpers run in it first.
    async storePage(tabs, helpers) {
      set.set("/store", (_, response) => {
        response.setHeader("content-type", "text/html");
        response.end(pageWith(PARTS));
      });
      const page = await tabs.newPage();
      await page.addInitScript(helpers);
      await page.goto(`http://127.0.0.1:${port}/store`);
      return page;
    },
    close: () => new Promise((resolve) => {
      server.closeAllConnections();
      server.close(resolve);
    }),
  };
}
