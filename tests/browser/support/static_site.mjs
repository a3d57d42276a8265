// SPDX-License-Identifier: Apache-2.0
//
// Serves a built site from a folder, as a hub would: types, content policy, and a tag by which the
// browser asks whether what it holds is still so.
// For tests that need no hub. Listens on the loopback only, on a port of the system's choice.
//
//   const site = await serveSite(folder);   site.origin   await site.close();
//   site.sent                               // url -> how often its bytes went out
//   site.before = async (path) => …          // a slow road; false: the line is cut
import { createReadStream, existsSync, statSync } from "node:fs";
import { createServer } from "node:http";
import { dirname, extname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";
import { POLICY } from "./site.mjs";

const TYPES = {
  ".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8",
  ".json": "application/json", ".wasm": "application/wasm", ".css": "text/css; charset=utf-8",
  ".webmanifest": "application/manifest+json", ".svg": "image/svg+xml", ".png": "image/png",
  ".ttf": "font/ttf",
};

// Where the build put the site: NTHTREE_SITE, or build/wasm/site of this tree.
export function builtSite() {
  const root = join(dirname(fileURLToPath(import.meta.url)), "..", "..", "..");
  const folder = process.env.NTHTREE_SITE ?? join(root, "build", "wasm", "site");
  if (!existsSync(join(folder, "index.html"))) {
    throw new Error(`no site at ${folder}: cmake --preset wasm && ` +
      "cmake --build --preset wasm --target bundle");
  }
  return folder;
}

// The site whose address #gallery shows every widget, which the app itself has not.
export const gallerySite = () => join(dirname(builtSite()), "gallery_site");

export async function serveSite(folder = builtSite()) {
  const asked = [];
  const sent = {};
  const site = { asked, sent, before: async () => true };
  const server = createServer(async (request, response) => {
    const { pathname } = new URL(request.url, "http://local");
    asked.push({ method: request.method, url: request.url });
    if (!await site.before(pathname)) return request.socket.destroy();
    response.setHeader("content-security-policy", POLICY);
    response.setHeader("cache-control", "no-cache");
    response.setHeader("x-content-type-options", "nosniff");
    const path = normalize(join(folder, pathname === "/" ? "index.html" : pathname));
    if (!path.startsWith(normalize(folder)) || !existsSync(path) || !statSync(path).isFile()) {
      response.statusCode = 404;
      return response.end();
    }
    const { mtimeMs, size } = statSync(path);
    const tag = `"${size}-${Math.round(mtimeMs)}"`;
    response.setHeader("etag", tag);
    response.setHeader("vary", "accept-encoding");
    if (request.headers["if-none-match"] === tag) {
      response.statusCode = 304;
      return response.end();
    }
    sent[pathname] = (sent[pathname] ?? 0) + 1;
    response.setHeader("content-type", TYPES[extname(path)] ?? "application/octet-stream");
    if (existsSync(`${path}.br`) && /\bbr\b/.test(request.headers["accept-encoding"] ?? "")) {
      response.setHeader("content-encoding", "br");
      return createReadStream(`${path}.br`).pipe(response);
    }
    return createReadStream(path).pipe(response);
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  return Object.assign(site, {
    origin: `http://127.0.0.1:${server.address().port}`,
    close: () => new Promise((resolve) => {
      server.closeAllConnections();
      server.close(resolve);
    }),
  });
}
