// SPDX-License-Identifier: Apache-2.0
//
// What the hub asks of a database: the records (sync::HubStore), transactions, the phones' keys and
// the join codes. store_sqlite.h has it on SQLite; another database is one more file.
//
// One thread only, the writer (writer.h). Invariants: what was put before a commit that returned
// Ok is there after any crash; a key or code is stored as its SHA-256 and never as itself.
// Units: milliseconds since 1970-01-01 UTC.
//
//   store.begin();
//   … sync::HubSide …
//   Status committed = store.commit();  // on the disk, or nothing of it
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

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
};

// Under what name a phone's records stand: two phones may have been given one name.
std::string carrier_of(const KeyOfPhone& key);

struct LastRecord {  // that came with a key
  std::int64_t received_ms = 0;
  std::string bytes;
};

struct SetAside {  // what came as a record and is none
  ledger::RecordId id;
  std::string bytes, reason, carrier;
};

enum class CodeUse { taken, unknown, used, expired };

class Store : public sync::HubStore {
 public:
  virtual void begin() = 0;
  virtual base::Status commit() = 0;  // rolls back where it fails
  virtual void rollback() = 0;        // also forgets the failure

  virtual void note_opening() = 0;  // the hub starts (hub_store.h)
  virtual void set_epoch(const std::string& epoch) = 0;
  virtual void set_backed_up(const std::vector<std::pair<ledger::DeviceKey, std::uint64_t>>& heads)
      = 0;

  virtual void add_code(const sync::Digest& hash, std::int64_t expires_ms) = 0;
  // Taken once, while it is known, not expired and not used; from then on it is used.
  virtual CodeUse use_code(const sync::Digest& hash, std::int64_t now_ms) = 0;
  virtual void add_key(const sync::Digest& hash, const std::string& name, std::int64_t now_ms) = 0;
  // False where there is no such key.
  virtual bool withdraw_key(std::int64_t id, std::int64_t now_ms) = 0;
  virtual std::vector<KeyOfPhone> keys() = 0;
  // Tells whose phone a key is, for whoever has lost one.
  virtual std::optional<LastRecord> last_record_of(const std::string& carrier) = 0;
  virtual std::vector<SetAside> set_aside_list() = 0;

  // Changes whenever another process has changed the database.
  virtual std::int64_t changes_of_others() = 0;
};

}  // namespace nthtree::hub
