// SPDX-License-Identifier: Apache-2.0
//
// web/transport.js in a real Chromium against a server that misbehaves: what is not the hub's own
// answer is "no answer", in time, and the phone's key goes nowhere else.
import assert from "node:assert/strict";
import { createServer } from "node:net";
import { gunzipSync } from "node:zlib";
import { openChromium } from "./support/chromium.mjs";
import { openSite, pageWith } from "./support/site.mjs";

const JSON_TYPE = { "content-type": "application/json" };

async function withPage(work) {
  const site = await openSite();
  site.set("/page", "text/html", pageWith(["transport.js"]));
  const chromium = await openChromium();
  try {
    const page = await chromium.newPage();
    await page.addInitScript(() => {
      window.ask = async (path, more = {}) => {
        const { body, ...rest } = more;
        const started = performance.now();
        const answer = await Nthtree.transport.request({ method: "POST", path,
          body: body === undefined ? null : new TextEncoder().encode(body), ...rest });
        return { status: answer.status, text: new TextDecoder().decode(answer.body),
          ms: performance.now() - started };
      };
    });
    await page.goto(`${site.origin}/page`);
    await work({ page, site, ask: (path, more) => page.evaluate(([p, m]) => ask(p, m),
      [path, more]) });
  } finally {
    await chromium.close();
    await site.close();
  }
}

export default [
  {
    name: "a request carries body and key and no cookie; the hub's errors come through with their status",
    run: () => withPage(async ({ site, ask }) => {
      const seen = [];
      site.set("/v1/push", (request, response, body) => {
        seen.push({ headers: request.headers, method: request.method, body: body.toString() });
        response.writeHead(seen.length === 1 ? 200 : 507, { ...JSON_TYPE,
          "set-cookie": "nthtree_key=abc; Path=/; HttpOnly; SameSite=Strict" });
        response.end(`{"v":1,"head":${seen.length}}\n{"id":"é"}\n`);
      });
      const first = await ask("/v1/push", { body: "{\"v\":1}\nñ", bearer: "secret" });
      const second = await ask("/v1/push", { body: "{}" });
      assert.equal(first.status, 200);
      assert.equal(first.text, "{\"v\":1,\"head\":1}\n{\"id\":\"é\"}\n");
      assert.equal(second.status, 507);
      assert.equal(seen[0].method, "POST");
      assert.equal(seen[0].body, "{\"v\":1}\nñ");
      assert.equal(seen[0].headers.authorization, "Bearer secret");
      assert.match(seen[0].headers["content-type"], /^application\/json/);
      assert.equal(seen[0].headers.origin, site.origin);
      assert.equal(seen[1].headers.authorization, undefined);
      assert.equal(seen[1].headers.cookie, undefined);
    }),
  },
  {
    name: "a captive portal, a redirect, a web page and a dead server are no answer",
    run: () => withPage(async ({ page, site, ask }) => {
      let portalAsked = 0;
      site.set("/portal", (_, response) => {
        portalAsked += 1;
        response.writeHead(200, JSON_TYPE);
        response.end("{\"v\":1}");
      });
      site.set("/v1/redirect", (_, response) => {
        response.writeHead(302, { location: "/portal" });
        response.end();
      });
      site.set("/v1/page", "text/html", "<h1>Welcome to the hotel</h1>");
      site.set("/v1/login", (_, response) => {
        response.writeHead(511, JSON_TYPE);
        response.end("{}");
      });
      site.set("/v1/gone", (_, response) => response.destroy());
      for (const path of ["redirect", "page", "login", "gone"]) {
        const { status, text } = await ask(`/v1/${path}`, { body: "{}" });
        assert.deepEqual([path, status, text], [path, 0, ""]);
      }
      assert.equal(portalAsked, 0);
      await site.close();
      assert.equal((await page.evaluate(() => ask("/v1/push", { body: "{}" }))).status, 0);
    }),
  },
  {
    name: "a half-open connection ends at the time-out, also in the middle of an answer",
    run: () => withPage(async ({ site, ask }) => {
      site.set("/v1/silent", () => {});
      site.set("/v1/half", (_, response) => {
        response.writeHead(200, JSON_TYPE);
        response.write("{\"v\":1,");
      });
      for (const path of ["silent", "half"]) {
        const { status, ms } = await ask(`/v1/${path}`, { body: "{}", timeoutMs: 400 });
        assert.equal(status, 0);
        assert.ok(ms >= 350 && ms < 4000, `${path}: ${ms} ms`);
      }
    }),
  },
  {
    name: "an answer cut short is no answer, never a part of one",
    run: () => withPage(async ({ site, ask }) => {
      site.set("/v1/cut", (_, response) => {
        response.writeHead(200, { ...JSON_TYPE, "content-length": "1000" });
        response.write("{\"v\":1}\n");
        setTimeout(() => response.destroy(), 50);
      });
      assert.deepEqual([(await ask("/v1/cut", { body: "{}" })).status], [0]);
    }),
  },
  {
    name: "only this origin is spoken to: another one gets no connection at all",
    run: () => withPage(async ({ ask }) => {
      let connections = 0;
      const other = createServer((socket) => {
        connections += 1;
        socket.destroy();
      });
      await new Promise((resolve) => other.listen(0, "127.0.0.1", resolve));
      const { port } = other.address();
      try {
        for (const path of [`http://127.0.0.1:${port}/v1/push`, `//127.0.0.1:${port}/v1/push`,
          `\\\\127.0.0.1:${port}\\v1`, `/\\127.0.0.1:${port}/v1`, "v1/push"]) {
          assert.equal((await ask(path, { body: "{}", bearer: "secret" })).status, 0, path);
        }
        assert.equal(connections, 0);
      } finally {
        other.close();
      }
    }),
  },
  {
    name: "bodies are compressed once the hub said that it takes gzip, and plain again after a 415",
    run: () => withPage(async ({ site, ask }) => {
      const seen = [];
      let takes = true;
      site.set("/v1/push", (request, response, body) => {
        const coding = request.headers["content-encoding"] ?? "plain";
        seen.push([coding, (coding === "gzip" ? gunzipSync(body) : body).toString().length]);
        response.writeHead(coding === "gzip" && !takes ? 415 : 200,
          { ...JSON_TYPE, ...(takes ? { "accept-encoding": "gzip" } : {}) });
        response.end("{\"v\":1}");
      });
      const large = `{"x":"${"ab".repeat(4000)}"}`;
      await ask("/v1/push", { body: large });
      await ask("/v1/push", { body: large });
      await ask("/v1/push", { body: "{}" });
      takes = false;
      const { status } = await ask("/v1/push", { body: large });
      await ask("/v1/push", { body: large });
      assert.equal(status, 200);
      assert.deepEqual(seen, [["plain", large.length], ["gzip", large.length], ["plain", 2],
        ["gzip", large.length], ["plain", large.length], ["plain", large.length]]);
    }),
  },
  {
    name: "an endless answer is dropped at its limit",
    run: () => withPage(async ({ site, ask }) => {
      let sent = 0;
      site.set("/v1/endless", (_, response) => {
        response.writeHead(200, JSON_TYPE);
        const block = Buffer.alloc(1 << 20, 32);
        const more = () => {
          while (!response.destroyed && sent < 400 * (1 << 20)) {
            sent += block.length;
            if (!response.write(block)) return response.once("drain", more);
          }
          return response.end();
        };
        more();
      });
      assert.equal((await ask("/v1/endless", { body: "{}", timeoutMs: 60000 })).status, 0);
      assert.ok(sent < 300 * (1 << 20), `${sent} bytes were taken`);
    }),
  },
];
