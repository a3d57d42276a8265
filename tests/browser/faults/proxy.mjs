// SPDX-License-Identifier: Apache-2.0
//
// Stands between phones and the hub and spoils requests as a bad network does. It also serves the
// page of the browser's phone, so that page and hub have one origin.
//
//   const proxy = await openProxy(() => hub.port, files);   proxy.faults = 0.5;   // half of them
//   proxy.figures                                            // how often which fault was done
import { createServer, request as httpRequest } from "node:http";
import { connect } from "node:net";
import { pause } from "../support/chromium.mjs";

export const FAULTS = ["cut before", "cut in the request", "answer lost", "cut in the answer",
  "doubled", "doubled at once", "late", "stalled"];

// Passes a request on and gives back the hub's answer, or null when there was none.
function forward(port, { method, url, headers }, body) {
  return new Promise((resolve) => {
    const sent = httpRequest({ host: "127.0.0.1", port, method, path: url, agent: false,
      headers: { ...headers, connection: "close" } }, (answer) => {
      const parts = [];
      answer.on("data", (part) => parts.push(part));
      answer.on("end", () => resolve({ status: answer.statusCode, headers: answer.headers,
        body: Buffer.concat(parts) }));
      answer.on("aborted", () => resolve(null));
    });
    sent.on("error", () => resolve(null));
    sent.end(body);
  });
}

// Sends the head and a part of the body, then tears the connection down.
function forwardTorn(port, { method, url, headers }, body, share) {
  return new Promise((resolve) => {
    const socket = connect(port, "127.0.0.1", () => {
      const lines = Object.entries(headers).map(([name, value]) => `${name}: ${value}`);
      socket.write(`${method} ${url} HTTP/1.1\r\n${lines.join("\r\n")}\r\n\r\n`);
      socket.write(body.subarray(0, Math.floor(body.length * share)), () => {
        socket.destroy();
        resolve(null);
      });
    });
    socket.on("error", () => resolve(null));
  });
}

export async function openProxy(hubPort, files, random = Math.random) {
  const proxy = { faults: 0, figures: Object.fromEntries(FAULTS.map((name) => [name, 0])),
    passed: 0, late: new Set() };

  function answerWith(response, answer) {
    if (!answer) return response.destroy();
    const headers = { ...answer.headers };
    delete headers["transfer-encoding"];
    delete headers.connection;
    response.writeHead(answer.status, { ...headers, "content-length": answer.body.length });
    return response.end(answer.body);
  }

  async function spoil(fault, request, body, response) {
    const port = hubPort();
    switch (fault) {
      case "cut before":
        return response.destroy();
      case "cut in the request":
        await forwardTorn(port, request, body, random());
        return response.destroy();
      case "answer lost":
        await forward(port, request, body);
        return response.destroy();
      case "cut in the answer": {
        const answer = await forward(port, request, body);
        if (!answer) return response.destroy();
        response.writeHead(answer.status, { ...answer.headers,
          "content-length": answer.body.length });
        response.write(answer.body.subarray(0, Math.floor(answer.body.length * random())));
        await pause(20);
        return response.destroy();
      }
      case "doubled":
        await forward(port, request, body);
        return answerWith(response, await forward(port, request, body));
      case "doubled at once": {
        const [answer] = await Promise.all([forward(port, request, body),
          forward(port, request, body)]);
        return answerWith(response, answer);
      }
      case "late": { // given up by the phone, and yet it arrives, behind newer ones
        response.destroy();
        const arriving = pause(200 + 1500 * random()).then(() => forward(hubPort(), request, body));
        proxy.late.add(arriving);
        arriving.finally(() => proxy.late.delete(arriving));
        return null;
      }
      default: // stalled: the connection stays, nothing comes
        await pause(2500);
        return response.destroy();
    }
  }

  const server = createServer(async (request, response) => {
    const { pathname } = new URL(request.url, "http://local");
    const parts = [];
    try {
      for await (const part of request) parts.push(part);
    } catch {
      return response.destroy(); // the phone was killed while it sent
    }
    response.on("error", () => {});
    if (files[pathname]) {
      const { type, text } = files[pathname];
      response.setHeader("content-type", type);
      return response.end(text);
    }
    const body = Buffer.concat(parts);
    const copy = { method: request.method, url: request.url, headers: request.headers };
    if (random() < proxy.faults) {
      const fault = FAULTS[Math.floor(random() * FAULTS.length)];
      proxy.figures[fault] += 1;
      return spoil(fault, copy, body, response);
    }
    proxy.passed += 1;
    return answerWith(response, await forward(hubPort(), copy, body));
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  proxy.port = server.address().port;
  proxy.origin = `http://127.0.0.1:${proxy.port}`;
  proxy.quiet = async () => {
    proxy.faults = 0;
    await Promise.all([...proxy.late]);
  };
  proxy.close = () => new Promise((resolve) => {
    server.closeAllConnections();
    server.close(resolve);
  });
  return proxy;
}
