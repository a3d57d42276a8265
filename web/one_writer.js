// SPDX-License-Identifier: Apache-2.0
//
// Which tab may write: one of all that are open, for as long as it lives.
//
// By the Web Lock "nthtree-writer". Without https (a phone on the yard's network in a trial)
// browsers have no Web Locks; there a lease in localStorage does it, renewed each second. A lease
// can slip when a tab sleeps, so the writer looks before each write; and should two tabs write for
// a moment all the same, the store refuses other bytes under a taken sequence number.
//
//   if (await Nthtree.oneWriter.ask(() => location.reload())) …   // called when its turn comes
//   Nthtree.oneWriter.held()
"use strict";
(globalThis.Nthtree ??= {}).oneWriter = (() => {
  const LOCK = "nthtree-writer";
  const GRACE_MS = 1500; // a reloaded page may find its own old lock for a moment
  const LEASE = "nthtree-writer-lease"; // localStorage: "<tab> <until>"
  const LEASE_MS = 4000;
  const RENEW_MS = 1000;
  const SETTLE_MS = 150; // two tabs that take a free lease at once: the last one written has it

  const tab = Math.random().toString(36).slice(2);
  let asked = null;
  let writer = false;
  let late = false;
  let refused = false; // the browser gives no lock at all

  const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

  // A starved browser may take longer than the grace to grant a free lock.
  const someoneHolds = async () =>
    (await navigator.locks.query()).held.some((lock) => lock.name === LOCK);

  function byLock(onTurn) {
    return new Promise((resolve) => {
      const giveUp = async () => {
        await pause(GRACE_MS);
        while (!writer && !refused && !await someoneHolds()) await pause(SETTLE_MS);
        if (writer) return;
        late = true;
        resolve(false);
      };
      giveUp().catch(() => resolve(false));
      navigator.locks.request(LOCK, () => {
        writer = true;
        resolve(true);
        if (late) onTurn();
        return new Promise(() => {}); // held until this page is gone
      }).catch(() => {
        refused = true;
        resolve(false);
      });
    });
  }

  function lease() {
    const [owner, until] = (localStorage.getItem(LEASE) ?? "").split(" ");
    const left = Number(until) - Date.now();
    // A lease far in the future comes from a clock that was set back since.
    return left > 0 && left <= LEASE_MS ? owner : "";
  }

  const takeLease = () => localStorage.setItem(LEASE, `${tab} ${Date.now() + LEASE_MS}`);

  async function tryLease() {
    if (lease() !== "" && lease() !== tab) return false;
    takeLease();
    await pause(SETTLE_MS);
    return lease() === tab;
  }

  async function byLease(onTurn) {
    try {
      const started = Date.now();
      while (!writer && Date.now() - started < GRACE_MS) {
        writer = await tryLease();
        if (!writer) await pause(SETTLE_MS);
      }
    } catch {
      return false; // no localStorage: nothing to agree by, so nothing is written
    }
    setInterval(async () => {
      if (writer && lease() !== tab && lease() !== "") writer = false; // it slipped while asleep
      else if (writer) takeLease();
      else if (await tryLease()) {
        writer = true;
        onTurn();
      }
    }, RENEW_MS);
    addEventListener("pagehide", () => {
      if (writer) localStorage.removeItem(LEASE);
    });
    return writer;
  }

  // Whether this tab writes. Where not, it waits in line, and onTurn is called when its turn comes.
  async function ask(onTurn) {
    asked ??= navigator.locks ? byLock(onTurn) : byLease(onTurn);
    return (await asked) || writer;
  }

  function held() {
    if (writer && !navigator.locks) return lease() === tab || lease() === "";
    return writer;
  }

  return { ask, held };
})();
