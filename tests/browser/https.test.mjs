// SPDX-License-Identifier: Apache-2.0
//
// The hub speaks https itself, with a certificate that a small authority of the test's own signed:
// the app is kept for offline use and starts without the hub, and a certificate renewed under a
// running hub is the one that is shown next.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { createHash, X509Certificate } from "node:crypto";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { connect } from "node:tls";
import { openHub } from "./faults/hub.mjs";
import { openChromium, pause } from "./support/chromium.mjs";
import { builtSite } from "./support/static_site.mjs";

const openssl = (...words) => execFileSync("openssl", words, { stdio: "ignore" });
const EC = ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes"];

async function makeAuthority(folder) {
  const file = (name) => join(folder, name);
  openssl("req", "-x509", ...EC, "-days", "2", "-subj", "/CN=farm-authority", "-keyout",
    file("ca.key"), "-out", file("ca.pem"));
  openssl("req", ...EC, "-subj", "/CN=localhost", "-keyout", file("key.pem"), "-out",
    file("hub.csr"));
  await writeFile(file("names"), "subjectAltName=DNS:localhost\nextendedKeyUsage=serverAuth\n");
  // The same key, so that a browser that was told of it knows the next certificate too.
  const sign = (serial) => openssl("x509", "-req", "-days", "2", "-in", file("hub.csr"), "-CA",
    file("ca.pem"), "-CAkey", file("ca.key"), "-set_serial", serial, "-extfile", file("names"),
    "-out", file("certificate.pem"));
  sign("17");
  const shown = new X509Certificate(await readFile(file("certificate.pem")));
  const key = shown.publicKey.export({ type: "spki", format: "der" });
  return { file, sign, fingerprint: createHash("sha256").update(key).digest("base64") };
}

// The serial number of the certificate that the hub shows, checked against the authority.
const serialAt = (port, ca) => new Promise((resolve, reject) => {
  const socket = connect({ port, host: "127.0.0.1", servername: "localhost", ca }, () => {
    resolve(Number.parseInt(socket.getPeerCertificate().serialNumber, 16));
    socket.destroy();
  });
  socket.once("error", reject);
});

async function becomesSerial(port, ca, wanted) {
  let serial = 0;
  for (let tries = 0; tries < 100 && serial !== wanted; tries += 1) {
    serial = await serialAt(port, ca);
    if (serial !== wanted) await pause(100);
  }
  assert.equal(serial, wanted);
}

export default [
  {
    name: "over https the app is kept and starts offline; a new certificate needs no restart",
    run: async () => {
      const folder = await mkdtemp(join(tmpdir(), "nthtree-https-"));
      const authority = await makeAuthority(folder);
      const hub = await openHub(join(folder, "data"), { site: builtSite(), flags: [
        "--tls-certificate", authority.file("certificate.pem"), "--tls-key",
        authority.file("key.pem"), "--host", "localhost"] });
      const chromium = await openChromium({ flags: [
        `--ignore-certificate-errors-spki-list=${authority.fingerprint}`] });
      try {
        const ca = await readFile(authority.file("ca.pem"));
        await becomesSerial(hub.port, ca, 17);
        authority.sign("18");
        process.kill(hub.child.pid, "SIGHUP");
        await becomesSerial(hub.port, ca, 18);

        const page = await chromium.newPage();
        const first = await page.goto(`https://localhost:${hub.port}/`);
        assert.match(first.headers()["strict-transport-security"], /max-age=31536000/);
        const usable = () => page.waitForFunction(() =>
          performance.getEntriesByName("nthtree-usable").length > 0, null, { timeout: 30000 });
        await usable();
        await page.waitForFunction(() => navigator.serviceWorker.ready.then((registration) =>
          registration.active?.state === "activated"), null, { timeout: 30000 });
        assert.equal(await page.evaluate(() => window.isSecureContext), true);
        await hub.kill();
        await page.reload();
        await usable();
      } finally {
        await chromium.close();
        await hub.kill();
        await rm(folder, { recursive: true, force: true, maxRetries: 5 });
      }
    },
  },
];
