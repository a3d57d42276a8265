// SPDX-License-Identifier: Apache-2.0
//
// What the hub asks of a database: the records (sync::HubStore), transactions, the phones' keys and
// the join codes. store_sqlite.h and store_postgresql.h have it; both pass one suite of tests.
//
// One thread only; whoever reads beside the writer (writer.h, reader.h) opens it again. Invariants:
// what was put before a commit that returned Ok is there after any crash; a key or code is stored
// as its SHA-256 and never as itself; texts are any bytes, U+0000 too, and come back as they were.
// Between begin and commit nobody else changes what is read here, whatever other hubs use the same
// database. A store may gather what is put until it is asked about it or committed.
// Calls that give a list or a value give an empty one after a failure, which `failure` and the next
// commit tell.
// Units: milliseconds since 1970-01-01 UTC.
//
// A failure is one of these, and what to do hangs on which:
//   disk_full     nothing was taken, and reading goes on
//   store_busy    somebody else held it too long: nothing was taken, the same again may work
//   store_away    it cannot be reached: nothing was taken, the same again may work
//   store_unsure  it was lost during a commit: all was taken or nothing
//   store_failed  all else: it needs a person
//
//   store.begin();
//   … sync::HubSide …
//   Status committed = store.commit();  // on the disk, or nothing of it
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "orchard/person.h"
#include "sync/digest.h"
#include "sync/hub_store.h"
#include "sync/sequence_set.h"

namespace nthtree::hub {

struct KeyOfPhone {
  std::int64_t id = 0;
  sync::Digest hash{};
  std::string name;
  std::int64_t joined_ms = 0;
  std::int64_t withdrawn_ms = 0;  // 0: good
  std::string person;             // whose phone it is; empty: shared
  orchard::Role role = orchard::Role::pruner;
};

struct KeyUse {  // what came with a key
  std::uint64_t records = 0, bytes = 0;
  std::int64_t last_ms = 0;
};

struct HourOfKey {  // what came with a key within an hour
  std::int64_t key = 0, hour_ms = 0;
  double records = 0, bytes = 0, garbage = 0;
};

// Who may join with a code.
struct CodeFor {
  orchard::Role role = orchard::Role::pruner;
  std::string person;
  std::string name;  // for the hub's people; empty: what the phone calls itself
};

// Under what name a phone's records stand: two phones may have been given one name.
std::string carrier_of(const KeyOfPhone& key);

struct SetAside {  // what came as a record and is none
  ledger::RecordId id;
  std::string bytes, reason, carrier;
};

// Nothing was taken, and the same again may work.
bool is_passing(const base::Error& error);
// Nobody knows whether it was taken: only what may be taken twice is tried again.
bool is_unsure(const base::Error& error);

enum class CodeUse { taken, unknown, used, expired };

class Store : public sync::HubStore {
 public:
  virtual void begin() = 0;
  virtual void begin_to_read() = 0;   // in place of begin, beside whoever writes
  virtual base::Status commit() = 0;  // rolls back where it fails
  virtual void rollback() = 0;        // also forgets the failure

  virtual void note_opening() = 0;  // the hub starts (hub_store.h)
  virtual void note_health(std::int64_t now_ms) = 0;  // writes something, to see that it can
  virtual void set_epoch(const std::string& epoch) = 0;
  virtual void set_backed_up(const std::vector<std::pair<ledger::DeviceKey, std::uint64_t>>& heads)
      = 0;

  virtual void add_code(const sync::Digest& hash, std::int64_t expires_ms, const CodeFor& who)
      = 0;
  // Taken once, while it is known, not expired and not used; from then on it is used. `who`: whom
  // it was made for.
  virtual CodeUse use_code(const sync::Digest& hash, std::int64_t now_ms, CodeFor& who) = 0;
  virtual std::vector<sync::Digest> codes(std::int64_t now_ms) = 0;  // neither used nor expired
  virtual void add_key(const sync::Digest& hash, const std::string& name, const CodeFor& who,
                       std::int64_t now_ms) = 0;
  // False where there is no such key.
  virtual bool withdraw_key(std::int64_t id, std::int64_t now_ms) = 0;
  virtual bool change_key(std::int64_t id, const std::string& name, const CodeFor& who) = 0;
  // An error where they cannot be read: never an empty list in its place.
  virtual base::Result<std::vector<KeyOfPhone>> keys() = 0;
  virtual std::map<std::int64_t, KeyUse> uses_of_keys() = 0;
  // By hour, ascending. Reads every record's head.
  virtual std::vector<HourOfKey> hours_of_keys(std::int64_t since_ms) = 0;
  // The latest record that came with a key: tells whose phone it is, for whoever has lost one.
  virtual std::optional<std::string> last_record_of(std::int64_t key) = 0;
  virtual std::vector<SetAside> set_aside_list() = 0;

  // The same records once more, for another thread, which only reads.
  virtual base::Result<std::unique_ptr<Store>> open_again() const = 0;

  // Whether other hubs may use the same farm at the same time.
  virtual bool is_shared() const { return false; }

  // Records whose bytes are not those that were stored, found at the last reading of all of them.
  virtual const std::vector<ledger::RecordId>& damaged() const = 0;

  // Another number whenever another process may have changed keys, codes or what is backed up.
  virtual std::int64_t office_version() = 0;
};

}  // namespace nthtree::hub
