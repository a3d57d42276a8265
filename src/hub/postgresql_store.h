// SPDX-License-Identifier: Apache-2.0
//
// The class behind store_postgresql.h: its transactions and what it writes are in
// store_postgresql.cpp, what it reads in postgresql_reads.cpp. Nobody else needs this.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "hub/keys_postgresql.h"
#include "hub/postgresql.h"
#include "hub/store_postgresql.h"

namespace nthtree::hub {

// The farm's row.
struct Farm {
  std::string epoch;
  std::int64_t id = 0, last_arrival = 0, change = 0, dropped = 0, aside = 0, owners = 0, office = 0;
};

struct Row {  // a record that is put and not yet sent
  std::uint64_t arrival = 0;
  std::string bytes;
  sync::Standing standing;
  sync::Provenance from;
};

struct Apart {
  ledger::RecordId id;
  std::string bytes, reason;
  sync::Provenance from;
};

class PostgresqlStore : public Store {
 public:
  base::Status open(const PostgresqlPlace& place);

  void begin_reading() override;
  std::string epoch() override { return farm_now().epoch; }
  std::uint64_t last_arrival() override;
  std::string opening_of(std::uint64_t arrival) override;
  std::optional<std::string> bytes(const ledger::RecordId& id) override;
  std::map<ledger::RecordId, std::string> bytes_of(
      const std::vector<ledger::RecordId>& ids) override;
  void expect(const std::vector<ledger::RecordId>& ids) override { fetched_ = bytes_of(ids); }
  std::optional<sync::OthersWork> work_of_others() override;
  std::vector<sync::Arrival> page(std::uint64_t after, std::uint64_t records_max,
                                  std::size_t bytes_max) override;
  std::uint64_t backed_up(const ledger::DeviceKey& device) override;
  void each_held(const std::function<void(const sync::HeldRecord&)>& visit) override;
  void each_removed(const std::function<void(const ledger::RecordId&)>& visit) override;
  void each_set_aside(
      const std::function<void(const ledger::RecordId&, std::int64_t)>& visit) override;
  void each_owner(
      const std::function<void(const ledger::DeviceKey&, std::int64_t)>& visit) override;
  void put(std::uint64_t arrival, const ledger::RecordId& id, std::string_view bytes,
           const sync::Standing& standing, const sync::Provenance& from) override;
  void drop(const ledger::RecordId& id) override;
  void remove(std::uint64_t arrival, const ledger::RecordId& id) override;
  void set_owner(const ledger::DeviceKey& device, std::int64_t key) override;
  void set_aside(const ledger::RecordId& id, std::string_view bytes, std::string_view reason,
                 const sync::Provenance& from) override;
  std::optional<base::Error> failure() override { return database_.failure(); }

  void begin() override;
  void begin_to_read() override;
  base::Status commit() override;
  void rollback() override;
  void note_opening() override;
  void note_health(std::int64_t now_ms) override;
  void set_epoch(const std::string& epoch) override;
  void set_backed_up(const std::vector<std::pair<ledger::DeviceKey, std::uint64_t>>& heads)
      override;
  void add_code(const sync::Digest& hash, std::int64_t expires_ms, const CodeFor& who) override {
    keys_.add_code(hash, expires_ms, who);
    office_changes();
  }
  CodeUse use_code(const sync::Digest& hash, std::int64_t now_ms, CodeFor& who) override {
    office_changes();
    return keys_.use_code(hash, now_ms, who);
  }
  std::vector<sync::Digest> codes(std::int64_t now_ms) override { return keys_.codes(now_ms); }
  void add_key(const sync::Digest& hash, const std::string& name, const CodeFor& who,
               std::int64_t now_ms) override {
    keys_.add_key(hash, name, who, now_ms);
    office_changes();
  }
  bool withdraw_key(std::int64_t id, std::int64_t now_ms) override {
    office_changes();
    return keys_.withdraw(id, now_ms);
  }
  bool change_key(std::int64_t id, const std::string& name, const CodeFor& who) override {
    office_changes();
    return keys_.change(id, name, who);
  }
  base::Result<std::vector<KeyOfPhone>> keys() override { return keys_.all(); }
  std::map<std::int64_t, KeyUse> uses_of_keys() override { return keys_.uses(); }
  std::vector<HourOfKey> hours_of_keys(std::int64_t since_ms) override {
    return keys_.hours(since_ms);
  }
  std::optional<std::string> last_record_of(std::int64_t key) override {
    return keys_.last_record_of(key);
  }
  std::vector<SetAside> set_aside_list() override;
  const std::vector<ledger::RecordId>& damaged() const override { return damaged_; }
  std::int64_t office_version() override;
  base::Result<std::unique_ptr<Store>> open_again() const override;
  bool is_shared() const override { return true; }

 private:
  PgValues of_farm() const { return PgValues().add(farm_.id); }
  const Farm& farm_now();
  void read_farm();
  void notice_older_database();
  void flush();
  void flush_records();
  void flush_apart();
  void note_uses();
  void write_farm();
  void office_changes() { office_changed_ = changed_ = true; }
  void visit_rows(const PgRows& rows, const std::function<void(const sync::HeldRecord&)>& visit);

  PgConnection database_;
  std::string name_, address_;
  Farm farm_;
  KeysPostgresql keys_{database_, farm_.id};
  bool in_transaction_ = false;
  // Of this transaction.
  std::map<ledger::RecordId, Row> rows_;
  std::vector<Apart> apart_;
  std::map<ledger::RecordId, std::string> fetched_;
  std::map<std::int64_t, std::pair<KeyUse, std::uint64_t>> brought_;  // with its last arrival
  bool changed_ = false, office_changed_ = false, dropped_ = false, owners_changed_ = false,
       set_apart_ = false;

  std::optional<Farm> read_;  // the farm as of what HubSide has in memory
  std::int64_t highest_change_ = 0;
  std::optional<std::map<std::int64_t, std::string>> openings_;  // while nobody else changes any
  std::vector<ledger::RecordId> damaged_;
};

}  // namespace nthtree::hub
