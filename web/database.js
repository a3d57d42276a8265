// SPDX-License-Identifier: Apache-2.0
//
// The connection to IndexedDB: opens it, opens it again when the browser drops it, and runs
// transactions that count as done at `complete` and never before. It knows the names of the stores
// and nothing of what is in them. Failures carry `outcome`: "full", "closed" or "failed".
//
//   await Nthtree.database.again(["meta"], "readwrite", (transaction) => {
//     transaction.objectStore("meta").put("e1:41", "cursor");
//   });
"use strict";
(globalThis.Nthtree ??= {}).database = (() => {
  const DATABASE = "nthtree";
  const VERSION = 2; // Only ever adds stores: an older app must still open the database.
  const STORES = ["records", "meta", "drafts", "set_aside", "packs"];
  const OPEN_TIMEOUT_MS = 8000;
  const COMMIT_TIMEOUT_MS = 15000; // Some browsers lose a transaction without any event.
  const REOPEN_DELAYS_MS = [0, 100, 300, 1000, 3000];

  let current = null;
  let opening = null;

  const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

  function fault(outcome, detail) {
    const error = new Error(detail);
    error.outcome = outcome;
    return error;
  }

  // What a failed request or an aborted transaction means for the one who asked.
  function classify(error) {
    if (error?.outcome) return error;
    const name = error?.name ?? "";
    const text = `${name || "aborted"}: ${error?.message ?? "no reason given"}`;
    if (name === "QuotaExceededError") return fault("full", text);
    const gone = ["", "AbortError", "InvalidStateError", "UnknownError", "TimeoutError",
      "TransactionInactiveError", "NotFoundError"];
    return fault(gone.includes(name) ? "closed" : "failed", text);
  }

  const ask = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = (event) => {
      event.preventDefault(); // One unreadable entry must not end the whole transaction.
      reject(request.error);
    };
  });

  // ---- the connection

  function openOnce(version) {
    return new Promise((resolve, reject) => {
      let late = false;
      const timer = setTimeout(() => {
        late = true;
        reject(fault("closed", "TimeoutError: the database did not open"));
      }, OPEN_TIMEOUT_MS);
      const request = version ? indexedDB.open(DATABASE, version) : indexedDB.open(DATABASE);
      request.onupgradeneeded = () => {
        const there = request.result.objectStoreNames;
        for (const name of STORES) {
          if (!there.contains(name)) request.result.createObjectStore(name);
        }
      };
      request.onblocked = () => api.onNews("another tab holds an older database open; close it");
      request.onerror = () => {
        clearTimeout(timer);
        reject(request.error);
      };
      request.onsuccess = () => {
        clearTimeout(timer);
        if (late) request.result.close();
        else resolve(request.result);
      };
    });
  }

  async function open() {
    let database;
    try {
      database = await openOnce(VERSION);
    } catch (error) {
      // A newer app was here and was rolled back: its database has our stores and more.
      if (error?.name !== "VersionError") throw classify(error);
      database = await openOnce(0).catch((again) => {
        throw classify(again);
      });
    }
    for (const name of STORES) {
      if (!database.objectStoreNames.contains(name)) {
        database.close();
        throw fault("failed", `the database has no store "${name}"`);
      }
    }
    const forget = (reason) => () => {
      if (current === database) current = null;
      database.close();
      api.onNews(reason);
    };
    database.onversionchange = forget("a newer version of the app opened the database");
    database.onclose = forget("the browser closed the database");
    current = database;
    return database;
  }

  function connect() {
    if (current) return Promise.resolve(current);
    opening ??= open().finally(() => {
      opening = null;
    });
    return opening;
  }

  function disconnect(database) {
    if (current === database) current = null;
    try {
      database.close();
    } catch {
      // Closed already: that is what we wanted.
    }
  }

  // ---- transactions

  // Runs work(transaction, stop) and settles by the transaction's end, never by a request's.
  function transact(database, stores, mode, work) {
    return new Promise((resolve, reject) => {
      let transaction;
      try {
        transaction = database.transaction(stores, mode, { durability: "strict" });
      } catch (error) {
        reject(fault("closed", `${error.name}: ${error.message}`));
        return;
      }
      let reason = null;
      const stop = (error) => {
        reason ??= error;
        transaction.abort();
      };
      const timer = setTimeout(
        () => reject(fault("closed", "TimeoutError: the transaction never ended")),
        COMMIT_TIMEOUT_MS);
      transaction.oncomplete = () => {
        clearTimeout(timer);
        resolve();
      };
      transaction.onabort = () => {
        clearTimeout(timer);
        reject(reason ?? classify(transaction.error));
      };
      try {
        work(transaction, stop);
      } catch (error) {
        stop(fault("failed", `${error.name}: ${error.message}`));
      }
    });
  }

  // A lost database is opened again and the same work done again: every piece of work here may
  // be repeated without harm, also when the lost attempt had reached the disk after all.
  async function again(stores, mode, work, wanted = () => true) {
    for (let attempt = 0; wanted(); attempt++) {
      let database = null;
      try {
        if (attempt > 0) await pause(REOPEN_DELAYS_MS[attempt]);
        database = await connect();
        await transact(database, stores, mode, work);
        api.onWell();
        return;
      } catch (error) {
        const known = classify(error);
        if (database && known.outcome === "closed") disconnect(database);
        if (known.outcome !== "closed" || attempt + 1 >= REOPEN_DELAYS_MS.length) {
          api.onNews(known.message);
          throw known;
        }
      }
    }
  }

  const api = {
    connect, again, ask, classify, fault,
    onNews: () => {}, // a sentence for people, when something is wrong
    onWell: () => {}, // a transaction went through
  };
  return api;
})();
