// SPDX-License-Identifier: Apache-2.0
//
// The lock of a person on this phone: a PIN made slow to guess (PBKDF2, RFC 8018, by the browser's
// own WebCrypto), and the phone's own lock (WebAuthn user verification, W3C Level 2). A lock
// against a colleague: what is on the disk stays readable to whoever takes the phone apart.
//
//   await Nthtree.lock.stretch("2580", "00ff…", 600000);   // 64 hexadecimal digits
//   const made = await Nthtree.lock.phone("");             // asks for finger, face or pattern
//   await Nthtree.lock.phone(made);                        // again; rejects where it is not given
"use strict";
(globalThis.Nthtree ??= {}).lock = (() => {
  const PATIENCE_MS = 60000;
  const VERIFIED = 4; // bit of the authenticator data's flags, byte 32 (WebAuthn 6.1)
  const FLAGS_AT = 32;

  const bytesOf = (hex) => Uint8Array.from(hex.match(/../g) ?? [], (pair) => parseInt(pair, 16));
  const hexOf = (buffer) =>
    [...new Uint8Array(buffer)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const random = () => crypto.getRandomValues(new Uint8Array(32));

  async function stretch(secret, salt, rounds) {
    if (!globalThis.crypto?.subtle) throw new Error("no WebCrypto here: the page needs https");
    const key = await crypto.subtle.importKey("raw", new TextEncoder().encode(secret), "PBKDF2",
      false, ["deriveBits"]);
    return hexOf(await crypto.subtle.deriveBits(
      { name: "PBKDF2", hash: "SHA-256", salt: bytesOf(salt), iterations: rounds }, key, 256));
  }

  // Told once at the start; the browser answers later than the app begins.
  let usable = false;
  const asking = globalThis.PublicKeyCredential
    ?.isUserVerifyingPlatformAuthenticatorAvailable?.().then((is) => { usable = is; }, () => {});

  async function make() {
    const credential = await navigator.credentials.create({ publicKey: {
      challenge: random(), timeout: PATIENCE_MS, attestation: "none",
      rp: { name: "Nthtree" }, user: { id: random(), name: "Nthtree", displayName: "Nthtree" },
      pubKeyCredParams: [{ type: "public-key", alg: -7 }, { type: "public-key", alg: -257 }],
      authenticatorSelection: { authenticatorAttachment: "platform", userVerification: "required" },
    } });
    return hexOf(credential.rawId);
  }

  async function ask(credential) {
    const shown = await navigator.credentials.get({ publicKey: {
      challenge: random(), timeout: PATIENCE_MS, userVerification: "required",
      allowCredentials: [{ type: "public-key", id: bytesOf(credential) }],
    } });
    const flags = new Uint8Array(shown.response.authenticatorData)[FLAGS_AT];
    if ((flags & VERIFIED) === 0) throw new Error("the phone did not ask who it is");
    return credential;
  }

  // Empty: makes one, and gives what to ask for the next time.
  const phone = (credential) => (credential ? ask(credential) : make());

  return { stretch, phone, asked: () => asking, hasPhone: () => usable };
})();
